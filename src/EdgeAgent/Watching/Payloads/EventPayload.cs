using Dancerwatch.Signals;
using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Watching.Payloads;

/// <summary>A change of a condition as it is sent.</summary>
public static class EventPayload
{
    /// <summary>What the <c>type</c> of every such event starts with; the condition's state follows.</summary>
    public const string TypePrefix = "dancerwatch.condition.";

    /// <summary>What <c>data</c> is made of.</summary>
    internal static MessageShape<MachineEvent> DataShape { get; } = Data();

    internal static MessageShape<CloudEvent<MachineEvent>> Shape { get; } =
        CloudEvent.Shape(
            "event",
            "A condition of a machine was raised, changed or cleared: a CloudEvent 1.0.",
            [.. Enum.GetValues<ConditionState>().Select(state => TypePrefix + state.Code())],
            @"^[^/]+:[a-z-]+:\d+:\d+$",
            "machine:condition:onset:step, onset in ms since 1970-01-01 UTC; the events of one occurrence share the onset, step 0 is raised",
            DataShape
        );

    /// <param name="sequence">Its place among the daemon's events, from 1.</param>
    public static byte[] Of(MachineEvent sent, long sequence)
    {
        ArgumentNullException.ThrowIfNull(sent);
        return Shape.Of(
            new(
                sent.Id,
                sent.Place.Path,
                TypePrefix + sent.Transition.State.Code(),
                sent.Milliseconds,
                sequence,
                sent
            )
        );
    }

    private static MessageShape<MachineEvent> Data() =>
        new MessageShape<MachineEvent>("data", "The condition, what led to it, and what to look at.")
            .Text("machine", "The machine", sent => sent.Place.Machine)
            .Word("condition", "What is warned of", Codes.Code, sent => sent.Transition.Condition)
            .Word("state", "What became of it", Codes.Code, sent => sent.Transition.State)
            .Word("priority", "How soon to act", Codes.Code, sent => sent.Transition.Priority)
            .Word(
                "side",
                "The end of travel it is about; null for neither",
                Codes.Code,
                sent => sent.Transition.Side
            )
            .Number(
                "fill",
                "%",
                "Fill, 0 at the empty set point and 100 at the full one, never clamped",
                sent => sent.Transition.FillPercent
            )
            .Number(
                "margin",
                "% of fill",
                "From the edge of the last minute's band to the trip on that side, or to the nearer one",
                sent => sent.Transition.MarginPercent
            )
            .Number(
                "seconds_to_limit",
                "s",
                "Time to the trip; null where none is approached",
                sent => sent.Transition.SecondsToLimit
            )
            .Share(
                "probability",
                "Probability that the trip is passed within 5 min",
                sent => sent.Transition.Probability
            )
            .Number("frequency_hz", "Hz", "Frequency of the oscillation", sent => sent.Transition.FrequencyHz)
            .Number(
                "amplitude",
                "% of fill, zero to peak",
                "Amplitude of the oscillation",
                sent => sent.Transition.AmplitudePercent
            )
            .Word("cause", "The likeliest cause", Codes.Code, sent => sent.Transition.Causes.First.Cause)
            .Share(
                "cause_confidence",
                "Confidence in it; all three together are at most 1",
                sent => sent.Transition.Causes.First.Confidence
            )
            .Further("cause_2", "The second likeliest cause", sent => sent.Transition.Causes.Second)
            .Further("cause_3", "The third likeliest cause", sent => sent.Transition.Causes.Third)
            .OptionalText(
                "evidence",
                "What decided, with numbers and units",
                sent => sent.Transition.Evidence
            )
            .OptionalText("check", "What to look at first, safely", sent => sent.Transition.Check)
            .Moment("ts", "When the reading that decided was taken", sent => sent.Milliseconds);

    private static MessageShape<MachineEvent> Further(
        this MessageShape<MachineEvent> shape,
        string name,
        string meaning,
        Func<MachineEvent, RankedCause> cause
    ) =>
        shape
            .OptionalWord<Cause>(
                name,
                $"{meaning}; null for none",
                Codes.Code,
                sent => Used(cause(sent))?.Cause
            )
            .Share(
                $"{name}_confidence",
                "Confidence in it",
                sent => Used(cause(sent))?.Confidence ?? double.NaN
            );

    // "unknown" is an answer where it carries weight; without, it only fills an unused place.
    private static RankedCause? Used(RankedCause cause) =>
        cause is { Cause: Cause.Unknown, Confidence: 0 } ? null : cause;
}
