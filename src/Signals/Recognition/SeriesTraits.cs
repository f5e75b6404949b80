namespace Dancerwatch.Signals.Recognition;

/// <summary>What a few seconds of a value tell of it. No unit of its own: that of the values.</summary>
/// <param name="Count">Values that were read.</param>
/// <param name="Least">Lowest of them; NaN where there is none.</param>
/// <param name="Greatest">Highest of them; NaN where there is none.</param>
/// <param name="Mean">Their mean; NaN where there is none.</param>
/// <param name="Rises">How often a value was above the one before.</param>
/// <param name="Falls">How often it was below.</param>
/// <param name="IsWhole">Whether all are whole numbers.</param>
/// <param name="HasNoNumber">Whether one was read and is no finite number.</param>
public readonly record struct SeriesTraits(
    int Count,
    double Least,
    double Greatest,
    double Mean,
    int Rises,
    int Falls,
    bool IsWhole,
    bool HasNoNumber
)
{
    /// <summary>Fewer changes than this may be chance: a counter rises so often before it is called one.</summary>
    private const int EnoughChanges = 5;

    public bool Moves => Rises + Falls > 0;

    /// <summary>Up and down, as a dancer or a speed goes.</summary>
    public bool GoesUpAndDown => Rises > 0 && Falls > 0;

    /// <summary>As a counter or a clock goes.</summary>
    public bool OnlyRises => Rises >= EnoughChanges && Falls == 0;

    /// <param name="values">In the order they were read.</param>
    public static SeriesTraits Of(IReadOnlyList<double> values)
    {
        ArgumentNullException.ThrowIfNull(values);
        int count = 0;
        (int rises, int falls) = (0, 0);
        (double least, double greatest) = (double.PositiveInfinity, double.NegativeInfinity);
        double sum = 0;
        double before = double.NaN;
        bool isWhole = true;
        bool hasNoNumber = false;
        foreach (double value in values)
        {
            if (!double.IsFinite(value))
            {
                hasNoNumber = true;
                continue;
            }
            count++;
            sum += value;
            least = Math.Min(least, value);
            greatest = Math.Max(greatest, value);
            isWhole &= value == Math.Floor(value);
            rises += value > before ? 1 : 0;
            falls += value < before ? 1 : 0;
            before = value;
        }
        return count == 0
            ? new SeriesTraits(0, double.NaN, double.NaN, double.NaN, 0, 0, false, hasNoNumber)
            : new SeriesTraits(count, least, greatest, sum / count, rises, falls, isWhole, hasNoNumber);
    }
}
