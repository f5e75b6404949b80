namespace Dancerwatch.Signals.Survey.Steps;

/// <summary>The dancer held still at a mark.</summary>
/// <param name="Gap">What the sensor reads there, in the gap's unit; the mark itself is taken as exact.</param>
/// <param name="Noise">Standard deviation from one reading to the next, over sqrt 2: the sensor's own, not the hand's.</param>
/// <param name="Step">Smallest difference between two readings that are not the same; NaN where all are.</param>
/// <param name="Seconds">How long it was still.</param>
/// <param name="Readings">How many readings that were.</param>
public sealed record Hold(Uncertain Gap, double Noise, double Step, double Seconds, int Readings)
{
    /// <param name="gaps">One after the other, without holes; at least 12.</param>
    /// <param name="knownStep">Resolution as configured.</param>
    /// <param name="seconds">How long it was still.</param>
    internal static Hold Of(ReadOnlySpan<double> gaps, double knownStep, double seconds) =>
        new(BlockMean.Of(gaps, knownStep), NoiseOf(gaps), StepOf(gaps), seconds, gaps.Length);

    private static double NoiseOf(ReadOnlySpan<double> gaps)
    {
        double squares = 0;
        for (int i = 1; i < gaps.Length; i++)
            squares += (gaps[i] - gaps[i - 1]) * (gaps[i] - gaps[i - 1]);
        return Math.Sqrt(squares / (gaps.Length - 1) / 2);
    }

    private static double StepOf(ReadOnlySpan<double> gaps)
    {
        double[] sorted = gaps.ToArray();
        Array.Sort(sorted);
        double smallest = double.NaN;
        for (int i = 1; i < sorted.Length; i++)
        {
            double step = sorted[i] - sorted[i - 1];
            if (step > 0 && !(step >= smallest))
                smallest = step;
        }
        return smallest;
    }
}
