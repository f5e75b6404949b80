namespace Dancerwatch.Signals.Statistics;

/// <summary>Where a function that never falls reaches a value.</summary>
internal static class Bisection
{
    /// <summary>More halvings change nothing in a double.</summary>
    private const int Halvings = 100;

    public static double Rising(Func<double, double> function, double target, double low, double high)
    {
        for (int i = 0; i < Halvings; i++)
        {
            double middle = (low + high) / 2;
            if (function(middle) < target)
                low = middle;
            else
                high = middle;
        }
        return (low + high) / 2;
    }
}
