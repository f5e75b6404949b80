using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Tests.Forecast;

/// <summary>
/// A minute at 50 % in which the unwind swings by 1 m/min about the line's 12 m/min, that is 1.1 %/s either way; then the
/// unwind does something. 1 m/min is 1.11 %/s.
/// </summary>
public sealed class ApproachForecastTests
{
    private const double PercentPerMeterPerMinute = 100 * 1000.0 / 60 / 1500;
    private readonly RunningFilm _running = new(TestFilm.Settings);
    private readonly TestFilm _film = new();
    private double _fill = 50;
    private double _cycles;

    public ApproachForecastTests()
    {
        while (_film.Seconds < 60)
            Step(12 + Math.Sin(2 * Math.PI * _film.Seconds));
    }

    [Fact]
    public void What_the_unwind_always_did_is_no_approach()
    {
        for (int i = 0; i < 20; i++)
            Assert.Equal(Side.None, Step(11).Side);
    }

    [Fact]
    public void An_effect_four_times_as_large_as_ever_is_believed_before_the_gap_agrees()
    {
        ForecastEstimate told = default;
        for (int i = 0; i < 8; i++) // 0.16 s: the cycle mean has hardly moved
            told = Step(0);

        double due = ((_fill + 5) / (12 * PercentPerMeterPerMinute)) + 0.5;
        Assert.Equal(Side.Empty, told.Side);
        Assert.InRange(told.SecondsToLimit, 0.9 * due, 1.3 * due);
    }

    [Fact]
    public void An_effect_of_twice_to_four_times_must_be_seen_in_the_gap_too_and_the_slower_counts()
    {
        // 3 m/min less: 3.3 %/s by the film, of which the gap, a second apart, shows two fifths after 0.4 s.
        ForecastEstimate told = default;
        for (int i = 0; i < 20; i++)
            told = Step(9);
        double byFilm = (_fill + 5) / (3 * PercentPerMeterPerMinute);

        Assert.Equal(Side.Empty, told.Side);
        Assert.InRange(told.SecondsToLimit, 2 * byFilm, 4 * byFilm);
    }

    [Fact]
    public void After_a_trip_what_was_usual_before_the_way_to_it_still_is()
    {
        for (int i = 0; i < 60; i++)
            Step(0);
        _running.Trip();
        _fill = 50;
        for (int i = 0; i < 150; i++)
            Step(12);
        ForecastEstimate told = default;
        for (int i = 0; i < 8; i++)
            told = Step(0);

        Assert.Equal(Side.Empty, told.Side);
    }

    [Fact]
    public void At_a_stop_fill_rises_no_further_than_the_unwind_gives_film()
    {
        for (int i = 0; i < 25; i++) // the line stands, the unwind runs on for half a second
            _ = Stop(unwind: 50);
        Assert.Equal(Side.Full, Stop(unwind: 50).Side);
        for (int i = 0; i < 5; i++) // what the unwind gives is a mean of 0.1 s
            _ = Stop(unwind: 0);

        // A cycle ago fill was 29 % lower; that is no approach any more.
        for (int i = 0; i < 15; i++)
            Assert.Equal(Side.None, Stop(unwind: 0).Side);
    }

    [Fact]
    public void A_line_that_slows_is_no_approach_while_the_unwind_follows_it()
    {
        for (double t = 0; t < 4; t += TestFilm.PollSeconds)
            Assert.Equal(Side.None, Step(unwind: Ramp(t, from: 0.4), line: Ramp(t, from: 0)).Side);
    }

    [Fact]
    public void It_is_one_when_the_unwind_does_not_follow()
    {
        ForecastEstimate told = default;
        double t = 0;
        for (; t < 5 && told.Side != Side.Full; t += TestFilm.PollSeconds)
            told = Step(unwind: 12, line: Ramp(t, from: 0));

        // It is told once fill is further out than ever: within one cycle, 1.5 s at 40 a minute.
        Assert.InRange(t, 0.5, 0.5 + 1.5);
        Assert.InRange(told.SecondsToLimit, (105 - _fill - 3) / 4.44, 1 + (105 - _fill) / 4.44);
    }

    [Fact]
    public void And_at_once_when_the_trip_is_less_than_a_second_away()
    {
        _fill = 102;
        ForecastEstimate told = default;
        for (double t = 0; t < 0.4; t += TestFilm.PollSeconds)
            told = Step(unwind: 12, line: Ramp(t, from: 0));

        Assert.Equal(Side.Full, told.Side);
    }

    /// <summary>12 m/min, from a moment on falling by 8 m/min a second to 8 m/min.</summary>
    private static double Ramp(double t, double from) => 12 - Math.Clamp(8 * (t - from), 0, 4);

    private ForecastEstimate Stop(double unwind)
    {
        _fill += unwind * PercentPerMeterPerMinute * TestFilm.PollSeconds;
        Reading reading = _film.Next(_fill, unwind, running: 0);
        _running.Add(_film.Seconds, _fill, reading, reading[Signal.CycleRate], out _);
        return _running.Forecast(_fill);
    }

    // Film moves fill as unwind and line say, beside the cycle's own swing, one for each 0.2 m drawn.
    private ForecastEstimate Step(double unwind, double line = 12)
    {
        _fill += (unwind - line) * PercentPerMeterPerMinute * TestFilm.PollSeconds;
        Reading reading = _film.Next(_fill, unwind, line: line);
        _cycles += line / 0.2 / 60 * TestFilm.PollSeconds;
        double fill = _fill + (3 * Math.Sin(2 * Math.PI * _cycles));
        _running.Add(_film.Seconds, fill, reading, reading[Signal.CycleRate], out _);
        return _running.Forecast(fill);
    }
}
