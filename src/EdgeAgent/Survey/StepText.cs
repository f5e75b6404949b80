using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.EdgeAgent.Survey;

/// <summary>What the guide says at each step, and before all of them.</summary>
internal static class StepText
{
    /// <summary>Cautions of the trade: common practice, no source. The site's own procedure goes before them.</summary>
    public static IReadOnlyList<string> Cautions(BrakeKind brake) =>
        [
            "For every step with a hand on the dancer, isolate and lock out machine and unwind by the site's procedure. The controller itself must stay on to be read; where your procedure does not allow that, stop here.",
            brake == BrakeKind.Air
                ? "Air and springs hold energy when the power is off: air can move the dancer and the brake by itself. Block or release the dancer as the machine's manual says before you take hold of it."
                : "Springs hold energy when the power is off: they can throw the dancer and the brake's linkage. Block or release them as the machine's manual says before you take hold of it.",
            "Rollers, film and the roll itself draw fingers in. Keep hands, sleeves and tools off nip points, and off everything before the machine is started.",
            "Move the dancer with a second person where the machine's manual asks for one.",
            "No guard is opened or bridged for this survey while the machine can move. It only reads: it stops nothing and holds nothing.",
        ];

    public static string Title(SurveyStep step) =>
        step switch
        {
            SurveyStep.HoldFull => "Held at full",
            SurveyStep.HoldHalfFromAbove => "Held half way, from above",
            SurveyStep.HoldEmpty => "Held at empty",
            SurveyStep.HoldHalfFromBelow => "Held half way, from below",
            SurveyStep.Travel => "Through its travel",
            SurveyStep.StartFromEmpty => "Started at empty",
            SurveyStep.Run => "Running",
            SurveyStep.Stop => "Stopped",
            SurveyStep.StartFromFull => "Started at full",
            _ => throw new ArgumentOutOfRangeException(nameof(step), step, "not a step"),
        };

    /// <summary>What to do, in a paragraph.</summary>
    public static string Instruction(SurveyStep step, BrakeKind brake) =>
        step switch
        {
            SurveyStep.HoldFull =>
                "Locked out. Bring the dancer up to its full mark and hold it there, still, for ten seconds.",
            SurveyStep.HoldHalfFromAbove =>
                "Locked out. Bring the dancer down to a mark about half way and hold it there. Any mark will do; remember which, it is needed once more.",
            SurveyStep.HoldEmpty =>
                "Locked out. Bring the dancer down to its empty mark and hold it there, still, for ten seconds.",
            SurveyStep.HoldHalfFromBelow =>
                "Locked out. Bring the dancer up to the very mark half way of before, this time from below, and hold it there.",
            SurveyStep.Travel =>
                "Locked out. Bring the dancer to its stop at empty. When ready, let film in and take the dancer up to its stop at full, slowly, in 15 to 20 seconds; rest there for a moment; and bring it down again to the stop at empty. Film must come off the roll while it goes up, so that the unwind's speed meters it."
                    + (
                        brake == BrakeKind.Air
                            ? " If your procedure lets the brake's air stay on, where it bears is seen, too."
                            : ""
                    ),
            SurveyStep.StartFromEmpty =>
                "Locked out, bring the dancer to its empty mark. Then hands away, all guards shut, and the machine given back by the site's procedure. When ready, start it at its usual speed.",
            SurveyStep.Run =>
                "Let the machine run at its usual speed with good product. It is watched for a minute; touch nothing.",
            SurveyStep.Stop =>
                "While it runs, make ready; then stop it at its stop button, as at any stop, within two minutes.",
            SurveyStep.StartFromFull =>
                "Locked out, bring the dancer to its full mark. Then hands away, all guards shut, and the machine given back by the site's procedure. When ready, start it at its usual speed.",
            _ => throw new ArgumentOutOfRangeException(nameof(step), step, "not a step"),
        };

    public static string Doubt(HoldDoubt doubt, HoldPlace place, double gap, KnownMachine known) =>
        doubt switch
        {
            HoldDoubt.OtherEnd =>
                $"By the taught set points (full {known.GapAtFull:0}, empty {known.GapAtEmpty:0}) a gap of {gap:0} is nearer to {(place == HoldPlace.Full ? "empty" : "full")}. Is the dancer at the {(place == HoldPlace.Full ? "full" : "empty")} mark? If it is, keep this: then the set points are swapped, and that is worth knowing.",
            HoldDoubt.NotMoved =>
                $"The gap reads {gap:0}, as it did at the other end. Either the dancer has not moved, or the sensor does not see it move: look whether its cam is tight and the sensor is plugged in.",
            HoldDoubt.NotBetween => $"A gap of {gap:0} is not between those held at empty and at full.",
            HoldDoubt.OtherMark =>
                $"A gap of {gap:0} is too far from the one held half way before: it must be the same mark.",
            HoldDoubt.Constant =>
                $"Every reading was {gap:0}, to the last digit. A live sensor trembles by a count or two: look whether it is plugged in, touches its cam, or the tag is the right one. If the controller smooths the gap, keep this.",
            HoldDoubt.OutOfRange =>
                $"A gap of {gap:0} is the end of the sensor's range ({known.GapMinimum:0} to {known.GapMaximum:0}): look whether it is plugged in, touches its cam, or no longer sees it.",
            _ => throw new ArgumentOutOfRangeException(nameof(doubt), doubt, "no doubt"),
        };
}
