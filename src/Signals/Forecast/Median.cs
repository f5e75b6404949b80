using System.Numerics;

namespace Dancerwatch.Signals.Forecast;

/// <summary>Middle value of a span.</summary>
internal static class Median
{
    /// <summary>Of so many each is compared with each.</summary>
    private const int Few = 32;

    /// <summary>
    /// Lower median by selection (Hoare 1961, "Find"): O(n) on average; reorders <paramref name="values"/>. At least one, all
    /// finite. Values are parted without a jump that nobody can predict, which halves the time.
    /// </summary>
    public static double Of(Span<double> values)
    {
        int wanted = (values.Length - 1) / 2;
        while (values.Length > Few)
        {
            double pivot = Middle(values[0], values[values.Length / 2], values[^1]);
            int smaller = Part(values, pivot);
            if (wanted < smaller)
            {
                values = values[..smaller];
                continue;
            }
            values = values[smaller..];
            wanted -= smaller;
            // The pivot may be the least: those that equal it go too.
            int equal = smaller > 0 ? 0 : Part(values, Math.BitIncrement(pivot));
            if (wanted < equal)
                return pivot;
            if (smaller + equal == 0)
                break; // not a number: what comes out means nothing, but it comes out
            values = values[equal..];
            wanted -= equal;
        }
        return OfFew(values, wanted);
    }

    /// <summary>
    /// The value that has so many below it, at most <see cref="Few"/> in all: each is compared with each, several at once and
    /// without a jump that nobody can predict.
    /// </summary>
    private static double OfFew(ReadOnlySpan<double> values, int wanted)
    {
        Span<double> padded = stackalloc double[Few];
        padded.Fill(double.PositiveInfinity);
        values.CopyTo(padded);
        Vector<double> found = new(double.NegativeInfinity);
        for (int i = 0; i < values.Length; i += Vector<double>.Count)
        {
            Vector<double> some = new(padded[i..]);
            Vector<long> below = default;
            foreach (double value in values)
                below -= Vector.LessThan(new Vector<double>(value), some); // -1 where it is so
            Vector<double> notAbove = Vector.ConditionalSelect(
                Vector.LessThanOrEqual(below, new Vector<long>(wanted)),
                some,
                found
            );
            found = Vector.Max(found, notAbove);
        }
        double largest = double.NegativeInfinity;
        for (int i = 0; i < Vector<double>.Count; i++)
            largest = Math.Max(largest, found[i]);
        return largest;
    }

    /// <summary>Brings the values below a pivot to the front.</summary>
    /// <returns>How many they are.</returns>
    private static int Part(Span<double> values, double pivot)
    {
        int smaller = 0;
        for (int i = 0; i < values.Length; i++)
        {
            double value = values[i];
            values[i] = values[smaller];
            values[smaller] = value;
            smaller += value < pivot ? 1 : 0;
        }
        return smaller;
    }

    private static double Middle(double a, double b, double c) =>
        Math.Max(Math.Min(a, b), Math.Min(Math.Max(a, b), c));
}
