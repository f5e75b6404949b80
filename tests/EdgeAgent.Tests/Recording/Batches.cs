using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Tests.Recording;

/// <summary>Readings for tests of recordings: with holes, bad ones, and numbers with every bit set.</summary>
internal static class Batches
{
    /// <summary>2026-11-25 06:00 UTC, µs since 1970-01-01 UTC.</summary>
    public static readonly long Start = UnixTime.Microseconds(
        new DateTimeOffset(2026, 11, 25, 6, 0, 0, TimeSpan.Zero)
    );

    public static readonly Signal[] Signals =
    [
        Signal.Gap,
        Signal.UnwindSpeed,
        Signal.Running,
        Signal.GapAtFull,
        Signal.EdgePosition,
        Signal.Product,
    ];

    /// <summary>Readings at about 50 Hz.</summary>
    /// <param name="from">Number of the first; the same numbers give the same readings.</param>
    public static IEnumerable<Reading> Readings(int count, int from = 0)
    {
        for (int i = from; i < from + count; i++)
        {
            Random random = new(i);
            long ticks = (i * 200_000L) + random.Next(1_000);
            if (i % 97 == 13)
            {
                yield return Reading.Failed(ticks);
                continue;
            }
            SignalValues values = SignalValues.Unknown;
            values[Signal.Gap] = random.Next(600, 3_500);
            values[Signal.UnwindSpeed] = 12 + random.NextDouble();
            values[Signal.Running] = i / 500 % 2;
            values[Signal.GapAtFull] = 3_500;
            values[Signal.EdgePosition] = i % 7 == 0 ? double.NaN : (float)(-0.5 + random.NextDouble());
            // Never known: a column of nothing.
            yield return new Reading(ticks, values, i % 7 == 0 ? Quality.Partial : Quality.Good);
        }
    }

    public static ReadingBatch Of(IEnumerable<Reading> readings, long run = 1)
    {
        ReadingBatch batch = new();
        batch.Begin(run, Signals);
        foreach (Reading reading in readings)
        {
            int row = batch.Count++;
            batch.TickColumn[row] = reading.Ticks;
            batch.TimeColumn[row] = TimeOf(reading);
            batch.QualityColumn[row] = reading.Quality;
            foreach (Signal signal in Signals)
                batch.Column(signal)[row] = reading[signal];
        }
        return batch;
    }

    public static long TimeOf(Reading reading) => Start + (reading.Ticks / TimeSpan.TicksPerMicrosecond);

    public static IEnumerable<Reading> In(ReadingBatch batch) =>
        Enumerable.Range(0, batch.Count).Select(batch.Reading).ToArray();

    /// <summary>Bits, not numbers: NaN equals NaN, and 0 is not -0.</summary>
    public static string Bits(Reading reading) =>
        $"{reading.Ticks} {reading.Quality} {string.Join(' ', Enum.GetValues<Signal>().Select(signal => BitConverter.DoubleToInt64Bits(reading[signal]).ToString("X", null)))}";

    public static void Same(IEnumerable<Reading> expected, IEnumerable<Reading> actual) =>
        Assert.Equal(expected.Select(Bits), actual.Select(Bits));
}
