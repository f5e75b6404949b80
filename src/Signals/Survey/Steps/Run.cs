using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Survey.Steps;

/// <summary>The machine running as it usually does. Gaps in the gap's unit.</summary>
/// <param name="Seconds">For how long.</param>
/// <param name="CycleHertz">Machine cycles a second; NaN where none was found.</param>
/// <param name="CycleLowest">Lowest gap of the mean cycle.</param>
/// <param name="CycleHighest">Highest.</param>
/// <param name="CycleSwing">Between them.</param>
/// <param name="P01">Percentiles of all readings.</param>
/// <param name="TailPlus">How far the outer percentiles may be off, from their scatter over eighths of the time.</param>
/// <param name="LineSpeed">Mean, m/min; of the unwind where there is no line speed.</param>
/// <param name="UnwindSpeed">Mean, m/min.</param>
public sealed record Run(
    double Seconds,
    double CycleHertz,
    double CycleLowest,
    double CycleHighest,
    Uncertain CycleSwing,
    double P01,
    double P50,
    double P99,
    double TailPlus,
    double LineSpeed,
    double UnwindSpeed
)
{
    private const int Parts = 8;

    /// <param name="readings">Of steady running, at least a few hundred.</param>
    internal static Run Of(IReadOnlyList<Reading> readings)
    {
        long zero = readings[0].Ticks;
        double[] seconds = [.. readings.Select(one => (double)(one.Ticks - zero) / TimeSpan.TicksPerSecond)];
        double[] gaps = [.. readings.Select(one => one[Signal.Gap])];
        double cycles = MeanOf(readings, Signal.CycleRate) / 60;
        (double hertz, double lowest, double highest, Uncertain swing) = CycleFold.Of(seconds, gaps, cycles);
        double unwind = MeanOf(readings, Signal.UnwindSpeed);
        double line = MeanOf(readings, Signal.LineSpeed);
        (double p01, double p50, double p99) = Percentiles(gaps);
        return new Run(
            seconds[^1],
            hertz,
            lowest,
            highest,
            swing,
            p01,
            p50,
            p99,
            Tail(gaps),
            double.IsNaN(line) ? unwind : line,
            unwind
        );
    }

    private static double MeanOf(IReadOnlyList<Reading> readings, Signal signal) =>
        readings.Select(one => one[signal]).Where(double.IsFinite).DefaultIfEmpty(double.NaN).Average();

    private static (double P01, double P50, double P99) Percentiles(ReadOnlySpan<double> gaps)
    {
        double[] sorted = gaps.ToArray();
        Array.Sort(sorted);
        return (At(sorted, 0.01), At(sorted, 0.5), At(sorted, 0.99));
    }

    // Hyndman and Fan 1996, type 7.
    private static double At(double[] sorted, double share)
    {
        double place = share * (sorted.Length - 1);
        int below = (int)place;
        int above = Math.Min(below + 1, sorted.Length - 1);
        return sorted[below] + ((place - below) * (sorted[above] - sorted[below]));
    }

    private static double Tail(double[] gaps)
    {
        int length = gaps.Length / Parts;
        double[] widths = new double[Parts];
        for (int i = 0; i < Parts; i++)
        {
            (double p01, _, double p99) = Percentiles(gaps.AsSpan(i * length, length));
            widths[i] = (p99 - p01) / 2;
        }
        double mean = widths.Average();
        double variance = widths.Sum(width => (width - mean) * (width - mean)) / (Parts - 1);
        return Coverage.Factor(Parts - 1) * Math.Sqrt(variance / Parts);
    }
}
