using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Forecast;

namespace Dancerwatch.Signals.Tests.Forecast;

/// <summary>Blocks of 2 s whose highest held fill rises from 50 % with a little unevenness; the machine trips at 105 %.</summary>
public sealed class TripForecastTests
{
    private const double BlockSeconds = 2;
    private const int Blocks = 24;
    private readonly TripForecast _trips = new(TestFilm.Settings.Fill);

    [Theory]
    [InlineData(0.4, true)] // 90 s to go, and a line of 24 blocks is drawn on for 96 s
    [InlineData(0.3, false)] // 137 s to go
    public void Seconds_are_told_where_the_probability_believes_the_line_too(
        double ratePerSecond,
        bool isNear
    )
    {
        for (int i = 0; i < Blocks; i++)
            _trips.Add(Block(50 + (ratePerSecond * i * BlockSeconds) + (i % 3 - 1) * 0.05));

        TripForecast.SideForecast full = _trips[Side.Full];
        double left =
            TestFilm.Settings.Fill.FullTripPercent - 50 - (ratePerSecond * (Blocks - 1) * BlockSeconds);
        Assert.Equal(isNear, double.IsFinite(full.SecondsToTrip));
        Assert.Equal(isNear, full.In5Minutes > 0.5);
        if (isNear)
            Assert.Equal(left / ratePerSecond, full.SecondsToTrip, 1.0);
    }

    [Theory]
    [InlineData(83, true)] // the stop has changed nothing
    [InlineData(60, false)] // set points were moved back, or the target: fill stepped, and no film went out that way
    public void A_slow_line_goes_on_after_a_stop_where_fill_has_not_stepped_back(
        double fillAfter,
        bool goesOn
    )
    {
        const double Rate = 0.1; // %/s: to 83 % within 330 s, and on to a trip in 220 s more
        for (int i = 0; i < 165; i++)
            _trips.Add(Block(50 + (Rate * i * BlockSeconds)));
        Assert.True(_trips[Side.Full].In5Minutes > 0.5);

        _trips.Restart();
        Assert.False(_trips[Side.Full].In5Minutes > 0); // not before it is known where fill stands
        for (int i = 0; i < Blocks; i++)
            _trips.Add(Block(fillAfter + (goesOn ? Rate * i * BlockSeconds : 0)));

        Assert.Equal(goesOn, _trips[Side.Full].In5Minutes > 0.5);
    }

    private static FilmBlock Block(double heldFull) =>
        new()
        {
            DurationSeconds = BlockSeconds,
            HeldFull = heldFull,
            HeldEmpty = 40,
        };
}
