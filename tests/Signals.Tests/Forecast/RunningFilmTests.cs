using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Tests.Forecast;

/// <summary>A minute of running at 12 m/min and 50 %, then a start in which the unwind gives nothing.</summary>
public sealed class RunningFilmTests
{
    private const double PercentPerSecond = 12 * 100 * 1000.0 / 60 / 1500;
    private readonly RunningFilm _running = new(TestFilm.Settings);
    private readonly TestFilm _film = new();

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void A_start_without_film_is_told_before_its_trip_with_and_without_the_lines_speed(bool isLineRead)
    {
        Run(60, isLineRead);
        _running.BeginStart();
        ForecastEstimate told = Start(30, 12, isLineRead);

        double due = (17 / PercentPerSecond) + 0.5;
        Assert.Equal(Side.Empty, told.Side);
        Assert.InRange(told.SecondsToLimit, 0.9 * due, 1.2 * due);
        Assert.True(double.IsNaN(told.ProbabilityIn5Minutes));
    }

    [Fact]
    public void Where_the_lines_speed_is_not_read_only_the_way_near_a_trip_counts()
    {
        Run(60, isLineRead: false);
        _running.BeginStart();

        Assert.Equal(Side.None, Start(50, 16, isLineRead: false).Side);
        Assert.Equal(Side.Empty, Start(16, 13, isLineRead: false).Side);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void A_machine_that_never_ran_is_told_nothing_of_its_start(bool isLineRead)
    {
        _running.BeginStart();

        Assert.Equal(Side.None, Start(50, 0, isLineRead).Side);
    }

    [Fact]
    public void Another_start_begins_afresh()
    {
        Run(60, isLineRead: true);
        _running.BeginStart();
        Assert.Equal(Side.Empty, Start(50, 12, isLineRead: true).Side);
        _running.BeginStart();

        Assert.Equal(Side.None, Start(50, 45, isLineRead: true).Side);
    }

    private void Run(double seconds, bool isLineRead)
    {
        for (double end = _film.Seconds + seconds; _film.Seconds < end; )
            _running.Add(_film.Seconds, Fill(50), Next(12, isLineRead), cyclesPerMinute: 60, out _);
    }

    private ForecastEstimate Start(double from, double to, bool isLineRead)
    {
        ForecastEstimate last = default;
        for (double fill = from; fill > to; fill -= PercentPerSecond * TestFilm.PollSeconds)
            last = _running.Start(TestFilm.PollSeconds, fill, Next(0, isLineRead));
        return last;
    }

    private Reading Next(double unwind, bool isLineRead)
    {
        Reading reading = _film.Next(50, unwind);
        SignalValues values = reading.Values;
        if (!isLineRead)
            values[Signal.LineSpeed] = double.NaN;
        return reading with { Values = values };
    }

    private double Fill(double mean) => mean + (3 * Math.Sin(2 * Math.PI * _film.Seconds));
}
