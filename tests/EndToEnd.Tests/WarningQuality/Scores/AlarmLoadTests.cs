using Dancerwatch.Bench.WarningQuality.Scores;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EndToEnd.Tests.WarningQuality.Scores;

public sealed class AlarmLoadTests
{
    [Fact]
    public void What_is_raised_is_counted_an_hour_and_by_priority_and_changes_apart()
    {
        AlarmLoad load = LoadOf(
            endSeconds: 7_200,
            (100, ConditionState.Raised, Priority.High),
            (150, ConditionState.Changed, Priority.High),
            (200, ConditionState.Cleared, Priority.High),
            (300, ConditionState.Raised, Priority.Low)
        );

        Assert.Equal((2, 1, 1.0), (load.Raised, load.Changed, load.RaisedAnHour));
        Assert.Equal(
            (0.5, 0.0, 0.5),
            (load.Share(Priority.High), load.Share(Priority.Medium), load.Share(Priority.Low))
        );
    }

    [Fact]
    public void The_peak_is_the_most_in_any_ten_minutes_wherever_they_begin()
    {
        AlarmLoad load = LoadOf(
            endSeconds: 3_600,
            (0, ConditionState.Raised, Priority.Low),
            (500, ConditionState.Raised, Priority.Low),
            (900, ConditionState.Raised, Priority.Low),
            (1_100, ConditionState.Raised, Priority.Low)
        );

        Assert.Equal(3, load.Peak);
        // 0 and 500 s; 900 and 1,100 s: two of six spans.
        Assert.Equal(2 / 6.0, load.SpansAbove(1));
    }

    [Fact]
    public void What_clears_within_ten_seconds_is_fleeting_unless_the_machine_tripped()
    {
        (double, ConditionState, Priority)[] told =
        [
            (100, ConditionState.Raised, Priority.High),
            (105, ConditionState.Cleared, Priority.High),
        ];

        Assert.Equal(1, LoadOf(3_600, told).Fleeting);
        Assert.Equal(0, new AlarmLoad([MadeUpRun.Of(3_600, [105], told: told)], MadeUpRun.Watcher).Fleeting);
        Assert.Equal(5, LoadOf(3_600, told).LongestSeconds);
    }

    [Fact]
    public void What_stands_at_the_end_stood_till_then() =>
        Assert.Equal(3_500, LoadOf(3_600, (100, ConditionState.Raised, Priority.High)).LongestSeconds);

    private static AlarmLoad LoadOf(double endSeconds, params (double, ConditionState, Priority)[] told) =>
        new([MadeUpRun.Of(endSeconds, [], told: told)], MadeUpRun.Watcher);
}
