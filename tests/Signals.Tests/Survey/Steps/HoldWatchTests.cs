using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.Signals.Tests.Survey.Steps;

public sealed class HoldWatchTests
{
    private readonly Random _random = new(4);
    private readonly HoldWatch _watch = new(span: 3000, step: 1);
    private int _readings;

    [Fact]
    public void A_dancer_that_is_still_for_ten_seconds_is_taken()
    {
        Feed(9, _ => 700);
        Assert.Equal(HoldState.TooShort, _watch.State);
        Feed(2, _ => 700);

        Assert.Equal(HoldState.Good, _watch.State);
        Assert.InRange(_watch.Hold!.Gap.Value, 699.5, 700.5);
        Assert.InRange(_watch.Hold.Noise, 1.7, 2.3);
        Assert.Equal(1, _watch.Hold.Step);
        Assert.InRange(_watch.Hold.Seconds, 10, 10.6);
    }

    [Fact]
    public void One_that_moves_is_not_however_slowly()
    {
        Feed(60, seconds => 700 + (6 * seconds));

        Assert.NotEqual(HoldState.Good, _watch.State);
        Assert.InRange(_watch.LongestSeconds, 0, 5);
    }

    [Fact]
    public void One_that_moves_and_then_rests_is_taken_from_where_it_rests()
    {
        Feed(5, seconds => 700 + (100 * seconds));
        Assert.Equal(HoldState.Moving, _watch.State);
        Feed(12, _ => 1200);

        Assert.InRange(_watch.Hold!.Gap.Value, 1199, 1201);
    }

    [Fact]
    public void One_that_nothing_is_read_of_has_no_readings()
    {
        Feed(5, _ => double.NaN);

        Assert.Equal(HoldState.NoReadings, _watch.State);
        Assert.Equal(0, _watch.LongestSeconds);
    }

    [Fact]
    public void Readings_that_failed_in_between_are_passed_over()
    {
        Feed(5, _ => 700);
        Feed(1, _ => double.NaN);
        Feed(6, _ => 700);

        Assert.Equal(HoldState.Good, _watch.State);
        Assert.True(double.IsFinite(_watch.Hold!.Gap.Plus));
    }

    private void Feed(double seconds, Func<double, double> gapAt)
    {
        int first = _readings;
        for (; _readings < first + (int)(seconds * 50); _readings++)
        {
            double noise = Math.Round(2 * Math.Sqrt(12) * (_random.NextDouble() - 0.5));
            SignalValues values = SignalValues.Unknown;
            values[Signal.Gap] = Math.Round(gapAt((_readings - first) / 50.0)) + noise;
            _watch.Next(new Reading(_readings * TimeSpan.TicksPerSecond / 50, values, Quality.Good));
        }
    }
}
