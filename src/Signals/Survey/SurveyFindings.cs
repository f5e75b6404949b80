using System.Globalization;

namespace Dancerwatch.Signals.Survey;

/// <summary>
/// What an engineer would say of the results, worst first. Limits are common practice, no source, and never tighter than
/// what the survey can tell. Nothing here asks anybody to go past a guard, and nothing is entered by the program.
/// </summary>
public static class SurveyFindings
{
    private const string AtThePanel = "A person enters that at the machine's own panel.";
    private const string LockedOut = "Lock out by the site's procedure before a hand goes near.";

    /// <summary>Set points off by more than this share of the span matter, %.</summary>
    public const double SetPointPercent = 0.5;

    /// <summary>Storage that differs by more than this matters, %.</summary>
    public const double StoragePercent = 3;

    /// <summary>Less clearance than this is too little for heat and wear, % of the span.</summary>
    public const double ClearancePercent = 3;

    /// <summary>More play than this is worth a look, % of the span.</summary>
    public const double PlayPercent = 1;

    /// <summary>More noise than this is worth a look, % of the span.</summary>
    public const double NoisePercent = 0.5;

    /// <summary>More bow than this belongs into the configuration, %.</summary>
    public const double BowPercent = 2;

    /// <summary>A target further off than this is worth a change, %.</summary>
    public const double TargetPercent = 2;

    private const double ScatterPercent = 2;
    private const double SwingSharePercent = 40;
    private const double OverrunPercent = 5;
    private const double StickPercent = 4;
    private const double StandingShare = 0.1;

    public static IReadOnlyList<SurveyFinding> Of(
        SurveyResult result,
        SurveyMeasures measures,
        KnownMachine known
    ) => [.. All(result, measures, known).OrderBy(finding => finding.Weight)];

    private static IEnumerable<SurveyFinding> All(
        SurveyResult result,
        SurveyMeasures measures,
        KnownMachine known
    ) =>
        [
            .. Ends(result, known),
            .. Sensor(result),
            .. Film(result, measures, known),
            .. Brake(result, known),
            .. Motion(result, measures),
            .. Target(result, known),
        ];

    private static IEnumerable<SurveyFinding> Ends(SurveyResult r, KnownMachine known)
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
            if (share > SetPointPercent && off > held.Plus)
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

    private static IEnumerable<SurveyFinding> Sensor(SurveyResult r)
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
        else if (r.ClearancePercent < ClearancePercent)
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
        if (r.Play.Value > PlayPercent && r.Play.Value > r.Play.Plus)
        {
            yield return Look(
                "From below and from above the same mark reads {0:0.0} % of the span apart: look for play in the dancer's bearings, its linkage and the sensor's bracket. "
                    + LockedOut,
                r.Play.Value
            );
        }
        if (noise > NoisePercent)
        {
            yield return Look(
                "At rest the gap trembles by {0:0.0} counts, {1:0.0} % of the span: look at the sensor's cable, shield and connector.",
                r.Noise,
                noise
            );
        }
    }

    private static IEnumerable<SurveyFinding> Film(
        SurveyResult r,
        SurveyMeasures measures,
        KnownMachine known
    )
    {
        if (measures.Travel is not null && !r.Cam.IsKnown)
        {
            yield return Look(
                "The unwind's speed did not meter the film that came in while the dancer went up: storage and the shape of the cam are not known. Look whether its roller, or the spindle's pickup, turns with the film."
            );
        }
        if (r.Cam.ScatterPercent > ScatterPercent)
        {
            yield return Look(
                "Film metered and gap do not go together evenly ({0:0.0} % of fill): film slipped, or the dancer jerked. Let it through its travel again, slowly.",
                r.Cam.ScatterPercent
            );
        }
        double bow = r.Cam.LargestBowPercent;
        if (r.Cam.IsKnown && Math.Abs(bow) > BowPercent)
        {
            yield return Enter(
                "The cam is bowed: between the ends a straight line reads up to {0:0.0} % too {1}. Put the fill table into our configuration as camPercent; the controller goes on reading straight.",
                Math.Abs(bow),
                bow > 0 ? "full" : "empty"
            );
        }
        double off = Math.Abs(known.StorageMillimeters - r.Storage.Value);
        if (off > r.Storage.Plus && 100 * off / r.Storage.Value > StoragePercent)
        {
            yield return Enter(
                "Between empty and full {0:0} ± {1:0} mm of film came in; our configuration says {2:0}. Put {0:0} into it as storageMillimeters, unless the film is threaded differently today.",
                r.Storage.Value,
                r.Storage.Plus,
                known.StorageMillimeters
            );
        }
    }

    private static IEnumerable<SurveyFinding> Brake(SurveyResult r, KnownMachine known)
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
        if (known.Brake == BrakeKind.SpringLinked && sticks > StickPercent + brake.LetsGoAt.Plus)
        {
            yield return Look(
                "A spring-linked brake should let go where it began to hold; this one holds from {0:0} % and lets go only at {1:0} %: look for a linkage that sticks. "
                    + LockedOut,
                brake.BearsFrom.Value,
                brake.LetsGoAt.Value
            );
        }
    }

    private static IEnumerable<SurveyFinding> Motion(SurveyResult r, SurveyMeasures measures)
    {
        double share = 100 * r.SwingMillimeters.Value / r.Storage.Value;
        if (share > SwingSharePercent)
        {
            yield return Look(
                "Each cycle swings the dancer through {0:0} % of its travel: the storage is small for this bag and speed.",
                share
            );
        }
        if (r.OverrunPercent > OverrunPercent)
        {
            yield return Look(
                "After the machine stood, {0:0.0} % more film came in: look whether the brake grips at a stop. "
                    + LockedOut,
                r.OverrunPercent
            );
        }
        double most = Math.Max(r.UnwindAtEmpty.Speed, measures.Run?.UnwindSpeed ?? 0);
        if (r.UnwindAtFull.Speed > StandingShare * most)
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

    private static IEnumerable<SurveyFinding> Target(SurveyResult r, KnownMachine known)
    {
        TargetAdvice advice = r.Target;
        if (
            !(
                Math.Abs(advice.Target.Value - known.TargetPercent)
                > Math.Max(TargetPercent, advice.Target.Plus)
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

    private static SurveyFinding Halt(string text, params object?[] values) =>
        new(FindingWeight.Halt, Say(text, values));

    private static SurveyFinding Enter(string text, params object?[] values) =>
        new(FindingWeight.Enter, Say(text, values));

    private static SurveyFinding Look(string text, params object?[] values) =>
        new(FindingWeight.Look, Say(text, values));

    private static string Say(string text, object?[] values) =>
        string.Format(CultureInfo.InvariantCulture, text, values);
}
