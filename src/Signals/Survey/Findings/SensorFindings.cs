using Dancerwatch.Signals.Survey.Results;
using static Dancerwatch.Signals.Survey.Findings.FindingText;

namespace Dancerwatch.Signals.Survey.Findings;

/// <summary>What is to be said of sensor, cam and linkage.</summary>
internal static class SensorFindings
{
    public static IEnumerable<SurveyFinding> Of(SurveyResult r)
    {
        double noise = 100 * r.Noise / Math.Abs(r.Span.Value);
        if (r.Touches)
        {
            yield return Halt(
                "The sensor touches: near {0} the dancer moved and the gap stayed at its end, {1:0} counts above the sensor's lowest. Face and cam must never meet. Move the sensor back and teach both ends again. "
                    + LockedOut,
                r.NearestSide.Code(),
                r.Clearance
            );
        }
        else if (r.ClearancePercent < FindingLimits.ClearancePercent)
        {
            yield return Look(
                "Only {0:0} counts, {1:0.0} % of the span, are left between sensor and cam at the {2} stop. Heat and wear may make them meet: move the sensor back a little and teach both ends again. "
                    + LockedOut,
                r.Clearance,
                r.ClearancePercent,
                r.NearestSide.Code()
            );
        }
        if (r.IsBlind)
        {
            yield return Look(
                "Near {0} the dancer moved on while the gap stayed at its largest: there the sensor no longer sees it. A trip on that side may come late or never; look at the sensor's range and mounting. "
                    + LockedOut,
                r.NearestSide == Fill.Side.Full ? "empty" : "full"
            );
        }
        if (r.Play.Value > FindingLimits.PlayPercent && r.Play.Value > r.Play.Plus)
        {
            yield return Look(
                "From below and from above the same mark reads {0:0.0} % of the span apart: look for play in the dancer's bearings, its linkage and the sensor's bracket. "
                    + LockedOut,
                r.Play.Value
            );
        }
        if (noise > FindingLimits.NoisePercent)
        {
            yield return Look(
                "At rest the gap trembles by {0:0.0} counts, {1:0.0} % of the span: look at the sensor's cable, shield and connector.",
                r.Noise,
                noise
            );
        }
    }
}
