using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Tests.Watching;

/// <summary>Machines of the tea hall, and what is raised about them.</summary>
internal static class Machines
{
    public static readonly MachinePlace Tea1 = new("leafside", "tea-hall", "line-1", "tea-1");

    /// <summary>2026-11-25T08:30:00.250Z, in ms since 1970-01-01 UTC (from GNU date).</summary>
    public const long Milliseconds = 1_795_595_400_250;

    public static readonly MachineSettings Settings = new()
    {
        Fill = new FillSettings { GapAtEmpty = 600, GapAtFull = 3_500 },
    };

    public static ConditionTransition LimitApproach { get; } =
        new()
        {
            Ticks = 20_000_000,
            OnsetTicks = 20_000_000,
            Step = 0,
            Condition = Condition.LimitApproach,
            State = ConditionState.Raised,
            Priority = Priority.High,
            Side = Side.Full,
            FillPercent = 88.25,
            MarginPercent = 6.5,
            SecondsToLimit = 4.75,
            Probability = 0.93,
            FrequencyHz = double.NaN,
            AmplitudePercent = double.NaN,
            Causes = new CauseRanking(
                new RankedCause(Cause.RollOverrun, 0.8),
                new RankedCause(Cause.SensorDrift, 0.15),
                default
            ),
            Evidence = "Fill rose 31 % in 2.1 s after the stop, while the unwind's command was 0 m/min.",
            Check =
                "Look at the spindle brake and its air pressure, with the machine stopped and locked off.",
        };

    public static MachineEvent Event(ConditionTransition transition) =>
        new(Tea1, Milliseconds, Milliseconds, transition);
}
