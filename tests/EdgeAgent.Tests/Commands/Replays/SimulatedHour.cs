using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Tests.Commands.Replays;

/// <summary>
/// An hour of readings at 50 Hz with jitter, of a dancer that swings at 0.3 Hz, slowly more and more, until it trips again
/// and again; 1 % of the reads are lost, and for 10 s all of them. Numbers with every bit set, so that rounding shows.
/// </summary>
internal static class SimulatedHour
{
    public const int Count = 180_000;

    private const int Seed = 20_001;

    public static IEnumerable<Reading> Readings()
    {
        Random random = new(Seed);
        for (int i = 0; i < Count; i++)
        {
            double seconds = (i * 0.02) + (0.004 * random.NextDouble());
            long ticks = (long)(seconds * TimeSpan.TicksPerSecond);
            bool lost = random.NextDouble() < 0.01 || seconds is > 1000 and < 1010;
            double amplitude = 1600 * seconds / 3600;
            double swing = Math.Sin(2 * Math.PI * 0.3 * seconds);
            SignalValues values = SignalValues.Unknown;
            values[Signal.Gap] = Math.Round(2050 + (amplitude * swing) + (4 * random.NextDouble()));
            values[Signal.UnwindSpeed] = 12 + random.NextDouble() - swing;
            yield return lost ? Reading.Failed(ticks) : new Reading(ticks, values, Quality.Good);
        }
    }
}
