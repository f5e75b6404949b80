using System.Globalization;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Watching;

/// <summary>One change of a condition, on its way out of the box. Written by <see cref="Payloads.EventPayload"/>.</summary>
/// <param name="Place">The machine.</param>
/// <param name="OnsetMilliseconds">When this occurrence was raised, ms since 1970-01-01 UTC. Kept from the first event to the last, though the wall clock be set meanwhile.</param>
/// <param name="Milliseconds">When this change was seen, ms since 1970-01-01 UTC.</param>
/// <param name="Transition">What changed.</param>
public sealed record MachineEvent(
    MachinePlace Place,
    long OnsetMilliseconds,
    long Milliseconds,
    ConditionTransition Transition
)
{
    /// <summary><c>machine:condition:onset:step</c>. The same event has the same id however often it is sent.</summary>
    public string Id =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"{Place.Machine}:{Transition.Condition.Code()}:{OnsetMilliseconds}:{Transition.Step}"
        );
}
