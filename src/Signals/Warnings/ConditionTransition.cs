using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Signals.Warnings;

/// <summary>One event: a condition was raised, changed or cleared. Numbers that are not known are NaN.</summary>
public sealed record ConditionTransition
{
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
}
