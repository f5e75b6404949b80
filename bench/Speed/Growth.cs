using Dancerwatch.Bench.Speed.Traces;
using Dancerwatch.Signals;

namespace Dancerwatch.Bench.Speed;

/// <summary>How the cost of a reading grows, each as a small table with the slope of log cost over log size: 0 is no growth, 1 in proportion.</summary>
internal static class Growth
{
    private const double TraceSeconds = 300;
    private static readonly double[] s_rates = [10, 20, 50, 100, 200];
    private static readonly double[] s_hours = [0.1, 0.5, 2, 8.1];
    private static readonly int[] s_machines = [1, 4, 16, 64, 256];

    public static void Run()
    {
        Table(
            "readings a second, of one machine",
            "a second",
            [
                .. s_rates.Select(rate =>
                    (rate, Mean(Trace.Record(TraceSeconds, true, pollSeconds: 1 / rate), 0.5))
                ),
            ]
        );
        Trace trace = Trace.Record(TraceSeconds, readsAll: true);
        Table("history behind a reading", "hours", [.. s_hours.Select(hours => (hours, Mean(trace, hours)))]);
        Table(
            "machines side by side on one core, a reading of each in turn",
            "machines",
            [.. s_machines.Select(count => ((double)count, OfMachines(trace, count)))]
        );
    }

    private static double Mean(Trace trace, double hours) =>
        WholeReading.Measure(trace, hours, passes: 3).MeanNanoseconds;

    /// <summary>ns a reading; more machines than the caches hold take longer.</summary>
    private static double OfMachines(Trace trace, int count)
    {
        MachineAssessor[] machines =
        [
            .. Enumerable.Range(0, count).Select(_ => new MachineAssessor(trace.Settings)),
        ];
        int rounds = Math.Max(600, 40_000 / count);
        trace.Rewind();
        double least = double.PositiveInfinity;
        for (int pass = 0; pass < 4; pass++)
        {
            long begun = TimeProvider.System.GetTimestamp();
            for (int i = 0; i < rounds; i++)
            {
                Signals.Readings.Reading reading = trace.Next();
                foreach (MachineAssessor machine in machines)
                    machine.Process(reading);
            }
            double each = TimeProvider.System.GetElapsedTime(begun).TotalNanoseconds / rounds / count;
            least = pass == 0 ? least : Math.Min(least, each); // the first fills windows
        }
        return least;
    }

    private static void Table(string what, string unit, (double Size, double Nanoseconds)[] points)
    {
        Console.WriteLine($"  {what}");
        foreach ((double size, double nanoseconds) in points)
            Console.WriteLine($"    {size, 6:0.#} {unit, -10} {nanoseconds, 8:F0} ns a reading");
        double slope = Slope(points);
        Console.WriteLine($"    slope {slope:F2}");
        Row.Print($"cost of a reading by {what}: slope", "near 0", $"{slope:F2}");
    }

    /// <summary>Of log cost over log size, by least squares.</summary>
    private static double Slope((double Size, double Cost)[] points)
    {
        double[] x = [.. points.Select(point => Math.Log(point.Size))];
        double[] y = [.. points.Select(point => Math.Log(point.Cost))];
        double meanX = x.Average();
        double meanY = y.Average();
        return x.Zip(y, (a, b) => (a - meanX) * (b - meanY)).Sum() / x.Sum(a => (a - meanX) * (a - meanX));
    }
}
