using Dancerwatch.Signals;
using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Watching.Payloads.States;

/// <summary><c>state/conditions</c></summary>
internal static class ConditionsState
{
    public static MessageShape<MachineState> Shape { get; } = Made();

    private static MessageShape<MachineState> Made()
    {
        MessageShape<MachineState> shape = StateShape
            .Of("conditions", "What is raised now. Fields of a condition that is not raised are null.")
            .Count("raised", "How many conditions are raised", state => state.Open.Count)
            .OptionalWord<Priority>(
                "priority",
                "The highest priority among them",
                Codes.Code,
                state => state.Open.Count == 0 ? null : state.Open.Max(open => open.Latest.Priority)
            );
        foreach (Condition condition in Enum.GetValues<Condition>())
        {
            string name = condition.Code().Replace('-', '_');
            shape
                .OptionalWord<Priority>(
                    name,
                    $"Priority of {condition.Code()} while it is raised",
                    Codes.Code,
                    state => Raised(state, condition)?.Latest.Priority
                )
                .OptionalWord<Side>(
                    $"{name}_side",
                    "Its side",
                    Codes.Code,
                    state => Raised(state, condition)?.Latest.Side
                )
                .OptionalWord<Cause>(
                    $"{name}_cause",
                    "Its likeliest cause",
                    Codes.Code,
                    state => Raised(state, condition)?.Latest.Causes.First.Cause
                )
                .OptionalMoment(
                    $"{name}_since",
                    "When it was raised",
                    state => Raised(state, condition)?.SinceMilliseconds
                );
        }
        return shape;
    }

    private static OpenCondition? Raised(MachineState state, Condition condition)
    {
        foreach (OpenCondition open in state.Open)
        {
            if (open.Latest.Condition == condition)
                return open;
        }
        return null;
    }
}
