using System.Globalization;
using Dancerwatch.Soak;

// Soak minutes MINUTES PROGRAM config/tea-hall.jsonc | Soak hours HOURS config/tea-hall.jsonc | Soak delay DIRECTORY...
switch (args)
{
    case ["minutes", string minutes, string program, string teaHall] when TryRead(minutes, 1) is { } lasting:
        return await RealTime.RunAsync(program, teaHall, lasting) ? 0 : 1;
    case ["hours", string hours, string teaHall] when TryRead(hours, FastTime.LeastHours) is { } lasting:
        return await FastTime.RunAsync(teaHall, lasting) ? 0 : 1;
    case ["delay", .. string[] directories]:
        foreach (string directory in directories)
            await EventDelay.RunAsync(directory);
        return 0;
    default:
        Console.Error.WriteLine(
            $"Usage: Soak minutes MINUTES PROGRAM config/tea-hall.jsonc, Soak hours HOURS config/tea-hall.jsonc, or Soak delay DIRECTORY... MINUTES from 1, HOURS from {FastTime.LeastHours}: what grows shows only once the warm-up is over."
        );
        return 2;
}

static double? TryRead(string text, double least) =>
    double.TryParse(text, CultureInfo.InvariantCulture, out double read) && read >= least ? read : null;
