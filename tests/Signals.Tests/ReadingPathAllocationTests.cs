using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Tests;

/// <summary>
/// The whole way of a reading once everything is warm: the window of eight hours is full and lets go of blocks, windows of
/// oscillations roll and are looked at with a tone and a cycle in them, the film's edge has its spectra, forecasts and causes
/// have all they know.
/// </summary>
public sealed class ReadingPathAllocationTests
{
    private const int FullWindow = (int)(8.1 * 3600 / TestFilm.PollSeconds);

    /// <summary>Longer than the slowest of what comes round: two minutes of a block, looks in 32 s, the edge in 32 s.</summary>
    private const int ThreeMinutes = (int)(180 / TestFilm.PollSeconds);

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void Minutes_of_readings_after_a_whole_shift_allocate_nothing(bool readsAll)
    {
        MachineAssessor assessor = new(TestFilm.Settings);
        TestFilm film = new();
        for (int i = 0; i < FullWindow; i++)
            assessor.Process(Next(film, readsAll));
        Assessment last = assessor.Process(Next(film, readsAll));
        int looks = 0;
        long allocated = Allocated.Bytes(_ =>
        {
            OscillationEstimate before = default;
            for (int i = 0; i < ThreeMinutes; i++)
            {
                last = assessor.Process(Next(film, readsAll));
                looks += last.Oscillation.AmplitudePercent != before.AmplitudePercent ? 1 : 0;
                before = last.Oscillation;
            }
        });
        Assert.Equal(0, allocated);
        Assert.InRange(last.EightHours.Count, FullWindow - 30_000, FullWindow);
        Assert.True(last.Oscillation.IsOscillating, last.Oscillation.ToString());
        Assert.True(looks > 100, $"{looks} looks");
        Assert.Equal(readsAll, last.FilmPath.Edge.IsKnown);
    }

    private static Reading Next(TestFilm film, bool readsAll)
    {
        Reading reading = film.Next(
            50 + (4 * Math.Sin(2 * Math.PI * 0.31 * film.Seconds)),
            unwind: 12 + Math.Cos(2 * Math.PI * 0.31 * film.Seconds)
        );
        SignalValues values = reading.Values;
        values[Signal.EdgePosition] = Math.Sin(2 * Math.PI * 0.31 * film.Seconds) + Math.Sin(film.Seconds);
        if (readsAll)
            return reading with { Values = values };
        values = SignalValues.Unknown;
        values[Signal.Gap] = reading[Signal.Gap];
        values[Signal.UnwindSpeed] = reading[Signal.UnwindSpeed];
        return reading with { Values = values };
    }
}
