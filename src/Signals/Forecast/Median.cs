namespace Dancerwatch.Signals.Forecast;

/// <summary>Middle value of a span.</summary>
internal static class Median
{
    /// <summary>Fewer are sorted.</summary>
    private const int Few = 9;

    /// <summary>
    /// Lower median by selection (Hoare 1961, "Find"): O(n) on average; reorders <paramref name="values"/>. At least one, all
    /// finite. Values are parted without a jump that nobody can predict, which halves the time.
    /// </summary>
    public static double Of(Span<double> values)
    {
        int wanted = (values.Length - 1) / 2;
        while (values.Length >= Few)
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
        Sort(values);
        return values[wanted];
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

    private static void Sort(Span<double> values)
    {
        for (int i = 1; i < values.Length; i++)
        {
            double value = values[i];
            int at = i;
            for (; at > 0 && values[at - 1] > value; at--)
                values[at] = values[at - 1];
            values[at] = value;
        }
    }
}
