namespace Dancerwatch.Bench.FleetHistory.Making;

/// <summary>
/// How much room there was to either trip, by product, speed and shift: counts in steps of 0.05 % of fill, so that a day of
/// a fleet takes no memory. A quantile of it is true to a step.
/// </summary>
internal sealed class MarginTally
{
    private const double Step = 0.05;
    private const int Steps = 4_000;
    private const double Least = -50;

    private readonly Dictionary<(int Product, int Speed, string Shift), (int[] Full, int[] Empty)> _rooms =
    [];

    /// <summary>Lower end of a speed's band of 5 m/min.</summary>
    public static int SpeedBand(double metersPerMinute) => 5 * (int)(metersPerMinute / 5);

    public IEnumerable<(int Product, int Speed, string Shift)> Groups => _rooms.Keys;

    public void Add((int, int, string) group, double fullPercent, double emptyPercent)
    {
        if (!_rooms.TryGetValue(group, out (int[] Full, int[] Empty) rooms))
            _rooms[group] = rooms = (new int[Steps], new int[Steps]);
        rooms.Full[Place(fullPercent)]++;
        rooms.Empty[Place(emptyPercent)]++;
    }

    public void Add(MarginTally other)
    {
        foreach (((int, int, string) group, (int[] full, int[] empty)) in other._rooms)
        {
            if (!_rooms.TryGetValue(group, out (int[] Full, int[] Empty) rooms))
                _rooms[group] = rooms = (new int[Steps], new int[Steps]);
            for (int i = 0; i < Steps; i++)
            {
                rooms.Full[i] += full[i];
                rooms.Empty[i] += empty[i];
            }
        }
    }

    /// <summary>Polls in a group, and the room that 1 % of them fell short of, % of fill.</summary>
    public (long Polls, double Full, double Empty) Of((int, int, string) group)
    {
        (int[] full, int[] empty) = _rooms[group];
        return (full.Sum(count => (long)count), Quantile(full), Quantile(empty));
    }

    private static int Place(double percent) =>
        Math.Clamp((int)Math.Floor((percent - Least) / Step), 0, Steps - 1);

    private static double Quantile(int[] counts)
    {
        double left = 0.01 * counts.Sum(count => (long)count);
        int i = 0;
        while (i < Steps - 1 && (left -= counts[i]) > 0)
            i++;
        return Least + ((i + 0.5) * Step);
    }
}
