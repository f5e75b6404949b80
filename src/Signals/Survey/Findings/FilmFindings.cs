using Dancerwatch.Signals.Survey.Results;
using Dancerwatch.Signals.Survey.Steps;
using static Dancerwatch.Signals.Survey.Findings.FindingText;

namespace Dancerwatch.Signals.Survey.Findings;

/// <summary>What is to be said of the film metered: storage and the shape of the cam.</summary>
internal static class FilmFindings
{
    public static IEnumerable<SurveyFinding> Of(SurveyResult r, SurveyMeasures measures, KnownMachine known)
    {
        if (measures.Travel is not null && !r.Cam.IsKnown)
        {
            yield return Look(
                "The unwind's speed did not meter the film that came in while the dancer went up: storage and the shape of the cam are not known. Look whether its roller, or the spindle's pickup, turns with the film."
            );
        }
        if (r.Cam.ScatterPercent > FindingLimits.ScatterPercent)
        {
            yield return Look(
                "Film metered and gap do not go together evenly ({0:0.0} % of fill): film slipped, or the dancer jerked. Let it through its travel again, slowly.",
                r.Cam.ScatterPercent
            );
        }
        double bow = r.Cam.LargestBowPercent;
        if (r.Cam.IsKnown && Math.Abs(bow) > FindingLimits.BowPercent)
        {
            yield return Enter(
                "The cam is bowed: between the ends a straight line reads up to {0:0.0} % too {1}. Put the fill table into our configuration as camPercent; the controller goes on reading straight.",
                Math.Abs(bow),
                bow > 0 ? "full" : "empty"
            );
        }
        double off = Math.Abs(known.StorageMillimeters - r.Storage.Value);
        if (off > r.Storage.Plus && 100 * off / r.Storage.Value > FindingLimits.StoragePercent)
        {
            yield return Enter(
                "Between empty and full {0:0} ± {1:0} mm of film came in; our configuration says {2:0}. Put {0:0} into it as storageMillimeters, unless the film is threaded differently today.",
                r.Storage.Value,
                r.Storage.Plus,
                known.StorageMillimeters
            );
        }
    }
}
