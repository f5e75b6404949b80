using Dancerwatch.Signals.Survey.Results;
using Dancerwatch.Signals.Survey.Steps;
using static Dancerwatch.Signals.Survey.Findings.FindingText;

namespace Dancerwatch.Signals.Survey.Findings;

/// <summary>What is to be said of the machine running, stopping and starting.</summary>
internal static class MotionFindings
{
    public static IEnumerable<SurveyFinding> Of(SurveyResult r, SurveyMeasures measures)
    {
        double share = 100 * r.SwingMillimeters.Value / r.Storage.Value;
        if (share > FindingLimits.SwingSharePercent)
        {
            yield return Look(
                "Each cycle swings the dancer through {0:0} % of its travel: the storage is small for this bag and speed.",
                share
            );
        }
        if (r.OverrunPercent > FindingLimits.OverrunPercent)
        {
            yield return Look(
                "After the machine stood, {0:0.0} % more film came in: look whether the brake grips at a stop. "
                    + LockedOut,
                r.OverrunPercent
            );
        }
        double most = Math.Max(r.UnwindAtEmpty.Speed, measures.Run?.UnwindSpeed ?? 0);
        if (r.UnwindAtFull.Speed > FindingLimits.StandingShare * most)
        {
            yield return Look(
                "With the dancer near full the unwind still ran at {0:0.0} m/min; there it should stand.",
                r.UnwindAtFull.Speed
            );
        }
        if (measures.FromEmpty?.Tripped == true || measures.FromFull?.Tripped == true)
        {
            yield return Look(
                "The machine tripped at a start from {0}: what was measured there is short.",
                measures.FromEmpty?.Tripped == true ? "empty" : "full"
            );
        }
    }
}
