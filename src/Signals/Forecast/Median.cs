namespace Dancerwatch.Signals.Forecast;

/// <summary>Middle value of a span.</summary>
internal static class Median
{
    /// <summary>Lower median by selection (Hoare 1961, "Find"): O(n) on average; reorders <paramref name="values"/>. At least one, all finite.</summary>
    public static double Of(Span<double> values)
    {
        int wanted = (values.Length - 1) / 2;
        int low = 0;
        int high = values.Length - 1;
        while (low < high)
        {
            double pivot = values[(low + high) / 2];
            int i = low;
            int j = high;
            while (i <= j)
            {
                while (values[i] < pivot)
                    i++;
                while (values[j] > pivot)
                    j--;
                if (i <= j)
                {
                    (values[i], values[j]) = (values[j], values[i]);
                    i++;
                    j--;
                }
            }
            if (wanted <= j)
                high = j;
            else if (wanted >= i)
                low = i;
            else
                break;
        }
        return values[wanted];
    }
}
