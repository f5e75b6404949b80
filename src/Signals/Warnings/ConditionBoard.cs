using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Warnings;

/// <summary>All conditions of a machine: asks each for its sign, steps its latch, and writes down what happened.</summary>
internal sealed class ConditionBoard
{
    private const int Count = (int)Condition.DataLost + 1;

    private readonly ConditionLatch[] _latches = new ConditionLatch[Count];
    private readonly ConditionTransition?[] _open = new ConditionTransition?[Count];
    private readonly List<ConditionTransition> _transitions = new(capacity: 16);
    private readonly ConditionSigns _signs;
    private readonly Priority _least;

    /// <param name="fill">Where the machine trips.</param>
    /// <param name="settings">When to warn.</param>
    public ConditionBoard(FillSettings fill, WarningSettings settings)
    {
        WarningSettings warnings = settings.AtSensitivity();
        _signs = new ConditionSigns(warnings, fill);
        _least = warnings.LeastPriority;
        for (int i = 0; i < Count; i++)
            _latches[i] = new ConditionLatch(warnings[(Condition)i]);
    }

    /// <summary>What the last reading raised, changed or cleared.</summary>
    public IReadOnlyList<ConditionTransition> Transitions => _transitions;

    /// <summary>The next reading comes.</summary>
    public void Begin() => _transitions.Clear();

    /// <summary>Latest transition of a raised condition; null where it is not raised.</summary>
    public ConditionTransition? this[Condition condition] => _open[(int)condition];

    /// <summary>Takes a good reading's assessment: the one condition where seconds count.</summary>
    /// <param name="elapsedSeconds">Time since the good reading before, s.</param>
    /// <param name="isJudged">False while the machine stands, starts or settles: then nothing speaks for a running condition.</param>
    public void StepQuick(Assessment a, in CauseSigns signs, double elapsedSeconds, bool isJudged) =>
        StepRunning(Condition.LimitApproach, a, signs, elapsedSeconds, isJudged);

    /// <summary>All other conditions.</summary>
    /// <param name="elapsedSeconds">Time since the last call, s.</param>
    /// <inheritdoc cref="StepQuick"/>
    /// <param name="isTrendJudged">False too while the machine recovers from a trip: then only the sensor and regular movement are judged.</param>
    public void Step(
        Assessment a,
        in CauseSigns signs,
        double elapsedSeconds,
        bool isJudged,
        bool isTrendJudged
    )
    {
        for (Condition condition = Condition.TripLikely; condition < Condition.DataLost; condition++)
        {
            if (condition == Condition.RollOverrun)
                Step(condition, _signs.RollOverrun(signs), a, signs, elapsedSeconds);
            else
                StepRunning(
                    condition,
                    a,
                    signs,
                    elapsedSeconds,
                    IsOfTrend(condition) ? isTrendJudged : isJudged
                );
        }
    }

    private static bool IsOfTrend(Condition condition) =>
        condition
            is Condition.TripLikely
                or Condition.MarginLow
                or Condition.OffTarget
                or Condition.DriveLimit;

    /// <summary>Takes any reading's time, good or bad.</summary>
    /// <param name="secondsWithoutGood">Time since the last good reading before this one, s.</param>
    public void StepDataLost(
        Assessment a,
        in CauseSigns signs,
        double secondsWithoutGood,
        double elapsedSeconds
    ) => Step(Condition.DataLost, _signs.DataLost(secondsWithoutGood), a, signs, elapsedSeconds);

    /// <summary>The machine has tripped: what warned of a trip has said it, and says it anew after the next start.</summary>
    public void Trip(Assessment a, in CauseSigns signs)
    {
        for (Condition condition = 0; condition < Condition.DataLost; condition++)
        {
            ConditionLatch latch = _latches[(int)condition];
            if (condition == Condition.RollEnding || !latch.End())
                continue;
            _open[(int)condition] = null;
            _transitions.Add(
                Describe(condition, ConditionState.Cleared, latch, a, signs) with
                {
                    Evidence = "The machine has tripped.",
                }
            );
        }
    }

    /// <summary>Takes over what was told last of a condition, by a board that is no more.</summary>
    /// <param name="cause">The likeliest cause at present: lost data is told without one, and is not to be told again for it.</param>
    public void Recall(ConditionTransition told, Cause cause)
    {
        int i = (int)told.Condition;
        _latches[i].Recall(told, told.Condition == Condition.DataLost ? cause : told.Causes.First.Cause);
        _open[i] = _latches[i].IsRaised ? told : null;
    }

    /// <summary>Carries what is raised and what is on its way to be.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Brds"u8);
        for (int i = 0; i < Count; i++)
        {
            _latches[i].Keep(ledger);
            bool isOpen = ledger.Keep(_open[i] is not null);
            _open[i] = isOpen ? ConditionTransition.Keep(ledger, _open[i]) : null;
            Ledger.Demand(
                isOpen == _latches[i].IsRaised && (int)(_open[i]?.Condition ?? (Condition)i) == i,
                "a condition is raised and not raised"
            );
        }
    }

    private void StepRunning(
        Condition condition,
        Assessment a,
        in CauseSigns signs,
        double elapsedSeconds,
        bool isJudged
    ) =>
        Step(
            condition,
            isJudged ? _signs.WhileRunning(condition, a, signs) : ConditionSign.Gone,
            a,
            signs,
            elapsedSeconds
        );

    private void Step(
        Condition condition,
        ConditionSign sign,
        Assessment a,
        in CauseSigns signs,
        double elapsedSeconds
    )
    {
        ConditionLatch latch = _latches[(int)condition];
        if (sign.Priority < _least && !latch.IsRaised)
            sign = ConditionSign.Gone;
        ConditionState? state = latch.Next(a.Ticks, elapsedSeconds, sign, a.Causes.First.Cause);
        if (state is null)
            return;
        ConditionTransition transition = Describe(condition, state.Value, latch, a, signs);
        _open[(int)condition] = state == ConditionState.Cleared ? null : transition;
        _transitions.Add(transition);
    }

    private static ConditionTransition Describe(
        Condition condition,
        ConditionState state,
        ConditionLatch latch,
        Assessment a,
        in CauseSigns signs
    )
    {
        bool oscillates = a.Oscillation.IsOscillating;
        MarginEstimate margin = a.Margin;
        double seconds = a.Forecast.SecondsToLimit;
        return new ConditionTransition
        {
            Ticks = a.Ticks,
            OnsetTicks = latch.OnsetTicks,
            Step = latch.Step,
            Condition = condition,
            State = state,
            Priority = latch.Priority,
            Side = latch.Side,
            FillPercent = a.Fill.Percent,
            MarginPercent = latch.Side switch
            {
                Side.Full => margin.Full.Percent,
                Side.Empty => margin.Empty.Percent,
                _ => Math.Min(margin.Full.Percent, margin.Empty.Percent),
            },
            SecondsToLimit = double.IsFinite(seconds) && a.Forecast.Side == latch.Side ? seconds : double.NaN,
            Probability = a.Forecast.ProbabilityIn5Minutes,
            FrequencyHz = oscillates ? a.Oscillation.FrequencyHz : double.NaN,
            AmplitudePercent = oscillates ? a.Oscillation.AmplitudePercent : double.NaN,
            Causes = condition == Condition.DataLost ? default : a.Causes,
            Evidence =
                state == ConditionState.Cleared
                    ? "What raised it is gone."
                    : WarningText.Evidence(condition, latch.Side, a, signs),
            Check = state == ConditionState.Cleared ? "" : WarningText.Check(condition, a.Causes),
        };
    }
}
