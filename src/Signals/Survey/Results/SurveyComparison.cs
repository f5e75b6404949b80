using Dancerwatch.Signals.Survey.Findings;

namespace Dancerwatch.Signals.Survey.Results;

/// <summary>
/// Two surveys of one machine beside each other. A difference counts where it is larger than the roots of squares of both
/// uncertainties; it matters from the limits of the findings on.
/// </summary>
public static class SurveyComparison
{
    /// <summary>Results without an uncertainty of their own are known to about this share: common practice, no source.</summary>
    private const double UsualShare = 0.1;

    private const double BrakeMatters = 3;
    private const double SwingMatters = 3;
    private const double OverrunMatters = 2;

    public static IReadOnlyList<SurveyChange> Of(SurveyResult before, SurveyResult after)
    {
        double span = Math.Abs(before.Span.Value);
        double percent = span / 100;
        return
        [
            SurveyChange.Of(
                "gap at full",
                "counts",
                before.GapAtFull,
                after.GapAtFull,
                FindingLimits.SetPointPercent * percent
            ),
            SurveyChange.Of(
                "gap at empty",
                "counts",
                before.GapAtEmpty,
                after.GapAtEmpty,
                FindingLimits.SetPointPercent * percent
            ),
            SurveyChange.Of(
                "span",
                "counts",
                before.Span,
                after.Span,
                2 * FindingLimits.SetPointPercent * percent
            ),
            SurveyChange.Of(
                "film stored",
                "mm",
                before.Storage,
                after.Storage,
                FindingLimits.StoragePercent / 100 * before.Storage.Value
            ),
            SurveyChange.Of(
                "clearance",
                "counts",
                About(before.Clearance, 3 * before.Noise),
                About(after.Clearance, 3 * after.Noise),
                FindingLimits.ClearancePercent / 2 * percent
            ),
            SurveyChange.Of(
                "noise at rest",
                "counts",
                About(before.Noise, UsualShare * before.Noise),
                About(after.Noise, UsualShare * after.Noise),
                FindingLimits.NoisePercent / 2 * percent
            ),
            SurveyChange.Of("play", "% of span", before.Play, after.Play, FindingLimits.PlayPercent / 2),
            SurveyChange.Of(
                "brake bears from",
                "%",
                before.Brake.BearsFrom,
                after.Brake.BearsFrom,
                BrakeMatters
            ),
            SurveyChange.Of(
                "brake lets go at",
                "%",
                before.Brake.LetsGoAt,
                after.Brake.LetsGoAt,
                BrakeMatters
            ),
            SurveyChange.Of("swing per cycle", "%", before.Swing, after.Swing, SwingMatters),
            SurveyChange.Of(
                "stop overrun",
                "%",
                About(before.OverrunPercent, OverrunMatters / 2),
                About(after.OverrunPercent, OverrunMatters / 2),
                OverrunMatters
            ),
            SurveyChange.Of(
                "suggested target",
                "%",
                before.Target.Target,
                after.Target.Target,
                FindingLimits.TargetPercent
            ),
        ];
    }

    private static Uncertain About(double value, double plus) => new(value, plus);
}
