using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Regimes;
using Dancerwatch.Signals.Roll;
using Dancerwatch.Signals.Tests.Causes;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.Signals.Tests.Warnings;

/// <summary>A machine on its way to the empty side, near the end of its roll, whose readings are lost now and then.</summary>
public sealed class ConditionBoardTests
{
    private readonly ConditionBoard _board = new(TestFilm.Settings.Fill, new WarningSettings());
    private readonly Assessment _assessment = new()
    {
        FillNow = new FillEstimate(10, 600, 3500, 50, FillFault.None, SetPointsChanged: false),
        RegimeNow = new RegimeEstimate(Regime.Running, 300, Changed: false, Side.None, ProductChanged: false),
        Forecast = new ForecastEstimate(Side.Empty, 4, 0.9, 0.95, 0.99, Side.Empty),
        Margin = new MarginEstimate(new SideMargin(80, 1200, 60), new SideMargin(14, 210, 4)),
        OscillationNow = OscillationEstimate.Nothing(Rhythm.None),
        RollNow = default(RollEstimate) with { MinutesLeft = 3 },
    };

    [Fact]
    public void A_trip_clears_what_warned_of_it_at_once_and_says_why()
    {
        Run(20);
        Trip();

        Assert.Equal(
            [Condition.LimitApproach, Condition.TripLikely],
            _board.Transitions.Select(t => t.Condition)
        );
        Assert.All(_board.Transitions, t => Assert.Equal(ConditionState.Cleared, t.State));
        Assert.All(_board.Transitions, t => Assert.Equal("The machine has tripped.", t.Evidence));
        Assert.All(_board.Transitions, t => Assert.Equal(1, t.Step));
        Assert.Null(_board[Condition.LimitApproach]);
        Assert.Null(_board[Condition.TripLikely]);
    }

    [Fact]
    public void What_a_trip_does_not_mend_stays_raised()
    {
        Run(20);
        _board.StepDataLost(_assessment, HealthySigns.All, secondsWithoutGood: 10, elapsedSeconds: 0.1);
        Trip();

        Assert.NotNull(_board[Condition.RollEnding]);
        Assert.NotNull(_board[Condition.DataLost]);
    }

    [Fact]
    public void After_the_next_start_the_same_is_raised_anew_with_an_onset_of_its_own()
    {
        Run(20);
        long before = _board[Condition.LimitApproach]!.OnsetTicks;
        Trip();
        Run(20);

        ConditionTransition again = _board[Condition.LimitApproach]!;
        Assert.Equal(ConditionState.Raised, again.State);
        Assert.True(again.OnsetTicks > before);
    }

    [Fact]
    public void A_trip_of_a_machine_that_was_not_warned_of_tells_nothing()
    {
        Trip();

        Assert.Empty(_board.Transitions);
    }

    [Fact]
    public void A_machine_that_recovers_from_a_trip_is_judged_by_its_readings_and_not_by_their_trend()
    {
        Run(20, isTrendJudged: false);

        Assert.NotNull(_board[Condition.LimitApproach]);
        Assert.Null(_board[Condition.TripLikely]);
        Assert.NotNull(_board[Condition.RollEnding]);
    }

    private void Run(double seconds, bool isTrendJudged = true)
    {
        for (double t = 0; t < seconds; t += 0.1)
        {
            _assessment.Ticks += TimeSpan.TicksPerSecond / 10;
            _board.Begin();
            _board.StepQuick(_assessment, HealthySigns.All, 0.1, isJudged: true);
            _board.Step(_assessment, HealthySigns.All, 0.1, isJudged: true, isTrendJudged);
        }
    }

    private void Trip()
    {
        _assessment.Ticks += TimeSpan.TicksPerSecond / 10;
        _board.Begin();
        _board.Trip(_assessment, HealthySigns.All);
    }
}
