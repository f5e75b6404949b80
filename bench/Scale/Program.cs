using System.Globalization;
using Dancerwatch.Scale;

// Scale PROGRAM [SECONDS]: what the daemon takes for 1 to 1,000 machines, each measured for so long (9 s), and what by that a
// plant of up to 10,000 takes. `serve MACHINES` is the process of the virtual controllers and the broker.
CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
switch (args)
{
    case ["serve", string machines]:
        await VirtualPlant.ServeAsync(int.Parse(machines, CultureInfo.InvariantCulture));
        return 0;
    case [string program, .. string[] rest] when File.Exists(program):
        double seconds = rest.Length > 0 ? double.Parse(rest[0], CultureInfo.InvariantCulture) : 9;
        List<Sample> samples = [];
        foreach (int machines in Sizes.Measured)
        {
            samples.Add(await Measurement.TakeAsync(program, machines, TimeSpan.FromSeconds(seconds)));
            Console.Error.WriteLine(samples[^1]);
        }
        GrowthTable.Print(Console.Out, samples);
        return 0;
    default:
        Console.Error.WriteLine("Usage: Scale PROGRAM [SECONDS]");
        return 2;
}
