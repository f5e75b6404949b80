using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Forecast;

namespace Dancerwatch.Signals.Tests.Forecast;

/// <summary>Trips at -5 and 105 %, 0.5 s held; 1.5 m stored, so that 1 m/min is 1.11 %/s.</summary>
public sealed class StartForecastTests
{
    private const double PollSeconds = 0.02;
    private const double PercentPerMeterPerMinute = 100 * 1000.0 / 60 / 1500;
    private readonly StartForecast _start = new(TestFilm.Settings.Fill);
    private (double Lowest, double Highest) _usual = (40, 60);

    [Fact]
    public void Film_that_leaves_an_accumulator_faster_than_any_start_did_is_told_with_its_seconds()
    {
        _start.Begin();
        Move(from: 50, to: 30, surplus: -40);

        // Lags of 0.25 s are over; from 30 % it is 35 % to the trip.
        double due = (35 / (40 * PercentPerMeterPerMinute)) + 0.5;
        Assert.Equal(Side.Empty, _start.Next.Side);
        Assert.InRange(_start.Next.Seconds, 0.9 * due, 1.2 * due);
    }

    [Fact]
    public void The_full_side_is_told_as_the_empty_one_is()
    {
        _start.Begin();
        Move(from: 50, to: 70, surplus: 40);

        Assert.Equal(Side.Full, _start.Next.Side);
        Assert.InRange(_start.Next.Seconds, 1, 1.6);
    }

    [Fact]
    public void Within_what_was_usual_nothing_is_told_however_fast_film_moves()
    {
        _start.Begin();
        Move(from: 58, to: 41, surplus: -60);

        Assert.Equal((Side.None, double.PositiveInfinity), _start.Next);
    }

    [Fact]
    public void A_start_like_those_before_is_usual_and_film_must_go_further_than_they_did()
    {
        _start.Begin();
        Move(from: 50, to: 25, surplus: -40);
        Assert.Equal(Side.Empty, _start.Next.Side);
        _start.End();
        Assert.Equal(Side.None, _start.Next.Side);

        _start.Begin();
        Move(from: 50, to: 26, surplus: -40);
        Assert.Equal(Side.None, _start.Next.Side);
        Move(from: 26, to: 22, surplus: -40);
        Assert.Equal(Side.Empty, _start.Next.Side);
    }

    [Fact]
    public void What_was_usual_may_have_been_the_way_to_a_trip_so_near_to_one_nothing_is()
    {
        _usual = (-4, 104);
        _start.Begin();
        Move(from: 50, to: 16, surplus: -40);
        Assert.Equal(Side.None, _start.Next.Side);
        Move(from: 16, to: 12, surplus: -40);
        Assert.Equal(Side.Empty, _start.Next.Side);
    }

    [Fact]
    public void Further_ahead_than_a_moment_nothing_is_told_for_a_start_corrects_itself()
    {
        _start.Begin();
        Move(from: 50, to: 30, surplus: -15); // 16.7 %/s: 2.1 s to the trip

        Assert.Equal(Side.None, _start.Next.Side);
    }

    [Fact]
    public void A_dancer_that_a_hand_has_left_near_an_end_is_told_once_film_moves_it_on_from_there()
    {
        _start.Begin();
        Move(from: 2, to: -2.5, surplus: -20);
        Assert.Equal(Side.None, _start.Next.Side);
        Move(from: -2.5, to: -3.5, surplus: -20);
        Assert.Equal(Side.Empty, _start.Next.Side);
    }

    [Fact]
    public void A_start_that_is_seen_late_is_judged_by_where_the_dancer_stood_before_it()
    {
        _usual = (double.NegativeInfinity, double.PositiveInfinity);
        _start.Begin(stoodPercent: 50);
        Move(from: 14, to: 10, surplus: -40);
        Assert.Equal(Side.Empty, _start.Next.Side);

        _start.Begin(); // as if it had stood at 14 %
        Move(from: 14, to: 10, surplus: -40);
        Assert.Equal(Side.None, _start.Next.Side);
    }

    [Fact]
    public void A_dancer_that_a_hand_has_left_past_a_trip_is_told_only_5_percent_further_out()
    {
        _start.Begin();
        Move(from: 107, to: 111.5, surplus: 5);
        Assert.Equal(Side.None, _start.Next.Side);
        Move(from: 111.5, to: 112.5, surplus: 5);
        Assert.Equal((Side.Full, 0.5), _start.Next);
    }

    [Fact]
    public void Film_that_comes_back_is_no_approach()
    {
        _start.Begin();
        Move(from: 50, to: 20, surplus: -40);
        Assert.Equal(Side.Empty, _start.Next.Side);
        for (int i = 0; i < 100; i++)
            Add(fill: 20 + (0.1 * i), surplus: 10);

        Assert.Equal(Side.None, _start.Next.Side);
    }

    [Fact]
    public void Before_anything_is_usual_nothing_is_told()
    {
        _usual = (double.NaN, double.NaN);
        _start.Begin();
        Move(from: 50, to: -20, surplus: -40);

        Assert.Equal(Side.None, _start.Next.Side);
    }

    [Fact]
    public void One_reading_without_a_speed_does_not_silence_the_rest_of_a_start()
    {
        _start.Begin();
        Add(fill: 50, surplus: double.NaN);
        Move(from: 50, to: 30, surplus: -40);

        Assert.Equal(Side.Empty, _start.Next.Side);
    }

    [Fact]
    public void A_reading_allocates_nothing()
    {
        _start.Begin();
        Assert.Equal(0, Allocated.Bytes(_ => Move(from: 50, to: -10, surplus: -40)));
    }

    // Film moves fill as its surplus says.
    private void Move(double from, double to, double surplus)
    {
        double step = surplus * PercentPerMeterPerMinute * PollSeconds;
        for (double fill = from; (to - fill) * step > 0; fill += step)
            Add(fill, surplus);
        Add(to, surplus);
    }

    private void Add(double fill, double surplus) =>
        _start.Add(fill, PollSeconds, surplus, _usual.Lowest, _usual.Highest);
}
