using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Warnings;

/// <summary>One event: a condition was raised, changed or cleared. Numbers that are not known are NaN.</summary>
public sealed record ConditionTransition
{
    private static readonly ConditionTransition s_blank = new()
    {
        Ticks = 0,
        OnsetTicks = 0,
        Step = 0,
        Condition = Condition.LimitApproach,
        State = ConditionState.Raised,
        Priority = Priority.Low,
        Side = Side.None,
        FillPercent = double.NaN,
        MarginPercent = double.NaN,
        SecondsToLimit = double.NaN,
        Probability = double.NaN,
        FrequencyHz = double.NaN,
        AmplitudePercent = double.NaN,
        Causes = default,
        Evidence = "",
        Check = "",
    };

    /// <summary>Monotonic time of the reading that decided, ticks of 100 ns.</summary>
    public required long Ticks { get; init; }

    /// <summary>Monotonic time of the reading at which this occurrence was raised, ticks of 100 ns.</summary>
    public required long OnsetTicks { get; init; }

    /// <summary>0 for raised, then counting up through changed to cleared.</summary>
    public required int Step { get; init; }
    public required Condition Condition { get; init; }
    public required ConditionState State { get; init; }
    public required Priority Priority { get; init; }
    public required Side Side { get; init; }

    /// <summary>Fill, %.</summary>
    public required double FillPercent { get; init; }

    /// <summary>Margin on <see cref="Side"/> (the smaller one where the side is none), % of fill.</summary>
    public required double MarginPercent { get; init; }

    /// <summary>Seconds to the limit; NaN where none is approached.</summary>
    public required double SecondsToLimit { get; init; }

    /// <summary>Probability that the trip is passed within 5 min.</summary>
    public required double Probability { get; init; }

    /// <summary>Frequency of the oscillation, Hz; NaN where none.</summary>
    public required double FrequencyHz { get; init; }

    /// <summary>Zero-to-peak amplitude of the oscillation, % of fill; NaN where none.</summary>
    public required double AmplitudePercent { get; init; }
    public required CauseRanking Causes { get; init; }

    /// <summary>One or two sentences with the numbers and units that decided.</summary>
    public required string Evidence { get; init; }

    /// <summary>What to look at first, safely.</summary>
    public required string Check { get; init; }

    /// <summary>Carries a transition.</summary>
    /// <param name="transition">The one to save; while restoring, any.</param>
    internal static ConditionTransition Keep(Ledger ledger, ConditionTransition? transition)
    {
        ConditionTransition kept = transition ?? s_blank;
        return new ConditionTransition
        {
            Ticks = ledger.Ticks(kept.Ticks),
            OnsetTicks = ledger.Ticks(kept.OnsetTicks),
            Step = ledger.Keep(kept.Step),
            Condition = ledger.Keep(kept.Condition, Condition.DataLost),
            State = ledger.Keep(kept.State, ConditionState.Cleared),
            Priority = ledger.Keep(kept.Priority, Priority.High),
            Side = ledger.Keep(kept.Side, Side.Empty),
            FillPercent = ledger.Keep(kept.FillPercent),
            MarginPercent = ledger.Keep(kept.MarginPercent),
            SecondsToLimit = ledger.Keep(kept.SecondsToLimit),
            Probability = ledger.Keep(kept.Probability),
            FrequencyHz = ledger.Keep(kept.FrequencyHz),
            AmplitudePercent = ledger.Keep(kept.AmplitudePercent),
            Causes = new(Ranked(kept.Causes.First), Ranked(kept.Causes.Second), Ranked(kept.Causes.Third)),
            Evidence = ledger.Text(kept.Evidence),
            Check = ledger.Text(kept.Check),
        };

        RankedCause Ranked(RankedCause ranked) =>
            new(ledger.Keep(ranked.Cause, Cause.SetpointError), ledger.Keep(ranked.Confidence));
    }
}
