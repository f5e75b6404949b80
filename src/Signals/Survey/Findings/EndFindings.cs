using Dancerwatch.Signals.Survey.Results;
using Dancerwatch.Signals.Survey.Steps;
using static Dancerwatch.Signals.Survey.Findings.FindingText;

namespace Dancerwatch.Signals.Survey.Findings;

/// <summary>What the gaps at both ends say of the taught set points.</summary>
internal static class EndFindings
{
    public static IEnumerable<SurveyFinding> Of(SurveyResult r, KnownMachine known)
    {
        if (r.HoldsAreSwapped)
        {
            yield return Halt(
                "Film came in while the gap went from the one held as full to the one held as empty: the two holds bear each other's names. Hold full and empty again."
            );
            yield break;
        }
        if (r.IsSwapped)
        {
            yield return Halt(
                "The taught ends are swapped: the controller has {0:0} for full and {1:0} for empty; held at full the dancer reads {2:0}, held at empty {3:0}. It would speed up where it should slow down. Enter {2:0} as the gap at full and {3:0} as the gap at empty. "
                    + AtThePanel,
                known.GapAtFull,
                known.GapAtEmpty,
                r.GapAtFull.Value,
                r.GapAtEmpty.Value
            );
            yield break;
        }
        foreach (
            (string end, double taught, Uncertain held) in new[]
            {
                ("full", known.GapAtFull, r.GapAtFull),
                ("empty", known.GapAtEmpty, r.GapAtEmpty),
            }
        )
        {
            double off = Math.Abs(taught - held.Value);
            double share = 100 * off / Math.Abs(r.Span.Value);
            if (share > FindingLimits.SetPointPercent && off > held.Plus)
            {
                yield return Enter(
                    "The gap at {0} was taught as {1:0}; held there the dancer reads {2:0} ± {3:0.0}, {4:0.0} % of the span away. Enter {2:0} as the gap at {0}. "
                        + AtThePanel,
                    end,
                    taught,
                    held.Value,
                    held.Plus,
                    share
                );
            }
        }
    }
}
