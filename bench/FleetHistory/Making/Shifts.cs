namespace Dancerwatch.Bench.FleetHistory.Making;

/// <summary>What is packed when: three shifts, a product a shift, two speeds within it.</summary>
internal static class Shifts
{
    public const double HalfSeconds = 4 * 3600;

    /// <summary>The day on which everything happens.</summary>
    public static readonly DateTimeOffset Midnight = new(2026, 11, 25, 0, 0, 0, TimeSpan.Zero);

    /// <param name="seconds">Of the day.</param>
    public static string Of(double seconds) =>
        ((int)(seconds / 3600) % 24) switch
        {
            >= 6 and < 14 => "early",
            >= 14 and < 22 => "late",
            _ => "night",
        };

    /// <summary>Number of the half shift: within one, product and speed stay.</summary>
    public static int Half(double seconds) => (int)((seconds + (2 * 3600)) / HalfSeconds);

    /// <summary>Product of a half shift, 1 to 3; another machine, another order.</summary>
    public static int Product(int half, int seed) => 1 + (((half / 2) + seed) % 3);

    public static double BagShare(int product) =>
        product switch
        {
            1 => 1,
            2 => 0.85,
            _ => 0.7,
        };

    public static double RateShare(int half) => half % 2 == 0 ? 1 : 0.85;
}
