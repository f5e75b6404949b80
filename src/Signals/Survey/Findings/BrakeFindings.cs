using Dancerwatch.Signals.Survey.Results;
using Dancerwatch.Signals.Survey.Steps;
using static Dancerwatch.Signals.Survey.Findings.FindingText;

namespace Dancerwatch.Signals.Survey.Findings;

/// <summary>What is to be said of the spindle brake; a spring-linked one and one worked by air are looked at differently.</summary>
internal static class BrakeFindings
{
    public static IEnumerable<SurveyFinding> Of(SurveyResult r, KnownMachine known)
    {
        BrakeFinding brake = r.Brake;
        string work = known.Brake == BrakeKind.Air ? "valve, air lines and regulator" : "springs and linkage";
        switch (brake.Side)
        {
            case BrakeSide.Empty when brake.Source == BrakeSource.Unwind:
                yield return Halt(
                    "Started at empty the unwind stood although it was asked to run: the brake bears on the wrong side, or does not let go. Look at {0}. "
                        + LockedOut,
                    work
                );
                yield break;
            case BrakeSide.Empty:
                yield return Halt(
                    "The brake bears on the wrong side: it holds below {0:0} % of fill, where the unwind should run fastest. Look at {1}. "
                        + LockedOut,
                    brake.BearsFrom.IsKnown ? brake.BearsFrom.Value : brake.LetsGoAt.Value,
                    work
                );
                yield break;
            case BrakeSide.Both:
                yield return Halt(
                    "The brake stayed on over the whole travel: it never lets go. Look at {0}. " + LockedOut,
                    work
                );
                yield break;
            case BrakeSide.Neither:
                yield return Look(
                    "The brake stayed off over the whole travel{0}. Near full it should hold the roll: look at {1}. "
                        + LockedOut,
                    known.Brake == BrakeKind.Air ? " (was its air on?)" : "",
                    work
                );
                yield break;
            case BrakeSide.Unknown:
                yield break;
        }
        double sticks = brake.BearsFrom.Value - brake.LetsGoAt.Value;
        if (
            known.Brake == BrakeKind.SpringLinked
            && sticks > FindingLimits.StickPercent + brake.LetsGoAt.Plus
        )
        {
            yield return Look(
                "A spring-linked brake should let go where it began to hold; this one holds from {0:0} % and lets go only at {1:0} %: look for a linkage that sticks. "
                    + LockedOut,
                brake.BearsFrom.Value,
                brake.LetsGoAt.Value
            );
        }
    }
}
