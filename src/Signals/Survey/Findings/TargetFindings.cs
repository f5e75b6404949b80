using Dancerwatch.Signals.Survey.Results;
using Dancerwatch.Signals.Survey.Steps;
using static Dancerwatch.Signals.Survey.Findings.FindingText;

namespace Dancerwatch.Signals.Survey.Findings;

/// <summary>Whether another target fill is worth entering, and why.</summary>
internal static class TargetFindings
{
    public static IEnumerable<SurveyFinding> Of(SurveyResult r, KnownMachine known)
    {
        TargetAdvice advice = r.Target;
        if (
            !(
                Math.Abs(advice.Target.Value - known.TargetPercent)
                > Math.Max(FindingLimits.TargetPercent, advice.Target.Plus)
            )
        )
            yield break;
        string why = advice.BrakeDecides
            ? "so that the swing keeps clear of the brake"
            : "which leaves as much room on either side";
        yield return Enter(
            "The target fill is {0:0} %. {1} raises fill by {2:0.0} % above its middle{8} lowers it by {3:0.0} %: {4:0} % is suggested, {5} ({6:0} % before the full trip, {7:0} % before the empty one). "
                + AtThePanel,
            known.TargetPercent,
            advice.StopDecides ? "A stop" : "Running",
            advice.Rise,
            advice.Fall,
            advice.Target.Value,
            why,
            advice.FullMargin,
            advice.EmptyMargin,
            advice.StopDecides ? ", running" : " and"
        );
    }
}
