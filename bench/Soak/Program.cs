using System.Globalization;
using Dancerwatch.Soak;

// Soak minutes MINUTES PROGRAM config/tea-hall.jsonc | Soak hours HOURS config/tea-hall.jsonc | Soak delay DIRECTORY...
CultureInfo culture = CultureInfo.InvariantCulture;
switch (args)
{
    case ["minutes", string minutes, string program, string teaHall]:
        return await RealTime.RunAsync(program, teaHall, double.Parse(minutes, culture)) ? 0 : 1;
    case ["hours", string hours, string teaHall]:
        return await FastTime.RunAsync(teaHall, double.Parse(hours, culture)) ? 0 : 1;
    case ["delay", .. string[] directories]:
        foreach (string directory in directories)
            await EventDelay.RunAsync(directory);
        return 0;
    default:
        Console.Error.WriteLine(
            "Usage: Soak minutes MINUTES PROGRAM config/tea-hall.jsonc, Soak hours HOURS config/tea-hall.jsonc, or Soak delay DIRECTORY..."
        );
        return 2;
}
