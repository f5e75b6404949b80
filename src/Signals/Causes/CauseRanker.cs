using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// Ranks causes by evidence that adds up. Each sign adds to the score of the causes it speaks for, from nothing at the
/// lower of two values to its full weight at the upper; weights are natural logarithms of likelihood ratios, set by
/// judgement of how often the sign comes with the cause and how seldom without it (weights of evidence: Good 1950).
/// Confidence is a score's share of all, the unexplained included, so that confidences sum to 1 and weak evidence leaves
/// "unknown" first.
/// </summary>
internal static class CauseRanker
{
    /// <summary>What no evidence at all weighs.</summary>
    private const double UnknownScore = 0.8;

    /// <summary>Machines make 20 cycles a minute or more (common practice, no source): what is slower is no cycle, Hz.</summary>
    public const double SlowestCycleHz = 0.3;

    /// <summary>A block that is not quite a whole number of cycles leaves so much of their swing in its mean.</summary>
    private const double CycleRest = 0.1;

    /// <summary>So long, of running time, the last trip's cause stays the likelier one, s.</summary>
    private const double RememberedSeconds = 600;

    private static readonly int s_causes = (int)Cause.SetpointError + 1;

    public static CauseRanking Rank(in CauseSigns signs)
    {
        Span<double> scores = stackalloc double[s_causes];
        scores.Clear();
        Score(signs, scores);
        double sum = scores[(int)Cause.Unknown] = Math.Exp(UnknownScore);
        for (int i = 1; i < scores.Length; i++)
        {
            // Most scores are nothing, and e^0 - 1 need not be computed.
            scores[i] = scores[i] <= 0 ? 0 : Math.Exp(scores[i]) - 1;
            sum += scores[i];
        }
        RankedCause first = Take(scores, sum);
        // Once a cause is named, "unknown" in second place would only crowd out the next one to look at.
        scores[(int)Cause.Unknown] = -1;
        return new CauseRanking(first, Take(scores, sum), Take(scores, sum));
    }

    private static void Score(in CauseSigns s, Span<double> scores)
    {
        OscillationEstimate o = s.Oscillation;
        double amplitude = o.IsOscillating ? o.AmplitudePercent : 0;
        double growth = o.IsOscillating ? Rise(o.GrowthPerSecond, 0, 0.01, 0.5) : 0;
        double large = Rise(amplitude, 2, 10, 3);
        bool isSlow = o.Rhythm == Rhythm.Unknown && o.FrequencyHz < SlowestCycleHz;
        double low = Rise(-s.OffTargetPercent + s.UsualOffTargetPercent, 3, 15, 1);

        bool isTurn = o.Rhythm == Rhythm.RollTurn || s.MayBeTurn;
        // A roll off its middle is held and let go once a turn, and runs ahead on its way down.
        double ahead = Rise(s.SurplusPercent - s.UsualSurplusPercent, 5, 20, 3);
        double turn = Rise(s.TurnPercent - s.UsualTurnPercent, 2, 10, 5);
        if (!double.IsNaN(s.LackPercent))
            turn *= 0.5 + (0.5 * Rise(ahead, 0, 0.6, 1));
        // Neither caught film nor a drifting sensor makes the machine's own swing larger; an unwind that must follow a larger
        // one falls and rises with it.
        double ownSwing = Rise(s.SwingPercent / s.UsualSwingPercent, 1.3, 2.2, 1);
        double catches = isTurn ? 0 : (1 - ownSwing) * Rise(s.RecentCatches, 0.5, 2, 4) * (1 - (turn / 5));
        double toAndFro = Rise(
            s.SlowSwingPercent - s.UsualSlowSwingPercent - (CycleRest * s.SwingPercent),
            4,
            15,
            3
        );
        // A loop swings by its unwind; where that gives what it always gave, the draw swings.
        double ofUnwind = double.IsNaN(s.SlowSwingUnwindShare)
            ? 1
            : Rise(s.SlowSwingUnwindShare, 0.2, 0.6, 1);
        double slowSwing = ofUnwind * toAndFro;
        double ofDraw = toAndFro - slowSwing;
        // A turn that swings fill by 1 % does not explain a slow swing of 20 %.
        double ofTurn = isTurn ? Rise(2 * amplitude / s.SlowSwingPercent, 0.2, 0.6, 1) : 0;

        double bite =
            (1 - ownSwing)
            * Rise(s.UnwindFallPercentPerSecond - s.UsualUnwindFallPercentPerSecond, 120, 240, 3);
        double wrongWay = Rise(s.WrongWayShare, 0.08, 0.3, 4);
        // A brake that drags lets an unwind wander; at its limit it runs level, whatever may have been asked of it.
        double level = double.IsNaN(s.LackPercent) ? Rise(s.CeilingShare, 0.1, 0.6, 3) : 0;
        double air = s.BrakeBar - s.UsualBrakeBar;

        scores[(int)Cause.LoopHunting] =
            (o.Rhythm == Rhythm.ControlLoop && !isTurn ? 1 + large + growth : 0)
            + (isSlow ? ofUnwind * 0.5 * (large + growth) : 0)
            + (1 - ofTurn) * slowSwing
            + wrongWay
            - catches;
        scores[(int)Cause.RollEccentricity] =
            (isTurn ? 1 + large + growth + ofTurn * slowSwing : 0)
            + turn
            + Rise(s.QuickLackPercent - s.UsualLackPercent, 5, 20, 1)
            + ahead;
        scores[(int)Cause.CycleSwing] =
            (o.Rhythm == Rhythm.MachineCycle ? Rise(amplitude, 5, 20, 1) : 0)
            + ofDraw
            + 3 * ownSwing
            - Rise(s.RoughnessRatio, 2, 4, 3)
            - slowSwing;
        scores[(int)Cause.BrakeDrag] =
            Rise(s.LackPercent - s.UsualLackPercent, 2, 8, 3)
            + Rise(s.QuickLackPercent - s.UsualLackPercent, 5, 20, 3)
            + Rise(s.UnwindDropPercent, 20, 60, 2)
            + Rise(s.BrakeShare, 0.05, 0.5, 2)
            // Where nobody reads what is asked of the unwind, low fill is all that a drag shows, and a drag is commoner than
            // new set points (common practice, no source).
            + (double.IsNaN(s.LackPercent) ? 2.5 * low : low)
            + Rise(air, 0.3, 1, 4)
            - Rise(-air, -0.3, -0.1, 2)
            - 0.7 * slowSwing
            - catches
            - turn
            - bite
            - level;
        scores[(int)Cause.DriveSaturation] =
            Math.Max(Rise(s.CeilingShare, 0.1, 0.6, 3), Rise(s.ShortShare, 0.1, 0.4, 3))
            + low
            - Rise(s.LostSharePercent, 3, 12, 3)
            - catches;
        scores[(int)Cause.RollEnding] =
            Rise(-s.MinutesLeft, -8, -4, 2)
            + Rise(-s.MinutesLeft, -2, -0.5, 2)
            + Rise(-s.DiameterMillimeters / s.CoreDiameterMillimeters, -1.15, -1.02, 2);
        scores[(int)Cause.FilmSnag] =
            Rise(s.LostSharePercent, 2.5, 10, 4.5)
            + 1.3 * catches
            + Rise(s.FallPercentPerSecond / s.UsualFallPercentPerSecond, 3, 8, 1)
            + Rise(s.UnwindDropPercent, 20, 60, 1)
            + bite
            - wrongWay;
        scores[(int)Cause.RollOverrun] = Rise(s.OverrunGrowthPercent, 2, 8, 4);
        scores[(int)Cause.SensorNoise] = Rise(s.RoughnessRatio, 1.5, 3, 4);
        double still = Rise(s.StillShare - s.UsualStillShare, 0.15, 0.35, 3);
        scores[(int)Cause.SensorStuck] = Rise(s.StillSeconds / s.UsualStillSeconds, 2, 5, 5) + still;
        scores[(int)Cause.SensorDrift] =
            (1 - ownSwing) * Rise(Math.Abs(s.ContradictionPercent), 5, 12, 4)
            - Rise(s.LostSharePercent, 2.5, 6, 4)
            - still;
        scores[(int)Cause.SetpointError] =
            Rise(s.SetPointShiftPercent, 2, 8, 5)
            + Rise(Math.Abs(s.TargetPercent - s.UsualTargetPercent), 5, 15, 3)
            + Rise(Math.Abs(s.TargetPercent - 50), 15, 30, 2)
            + Rise(s.OffTargetPercent - s.UsualOffTargetPercent, 6, 20, 3)
            + Rise(-s.OffTargetPercent + s.UsualOffTargetPercent, 6, 20, 1.5)
            - Rise(s.StrainShare, 0.1, 0.5, 2)
            - Rise(s.UnwindDropPercent, 10, 30, 2)
            - slowSwing;
        // A trip seldom mends what it came from: the same signs count for more, and where there is no other it comes first.
        if (s.TrippedBy != Cause.Unknown)
        {
            ref double again = ref scores[(int)s.TrippedBy];
            again +=
                Rise(-s.SinceTripSeconds, -RememberedSeconds, 0, 1) * Math.Clamp(1.2 + (1.3 * again), 0, 2.5);
        }
    }

    /// <summary>0 at or below <paramref name="from"/>, <paramref name="weight"/> at or above <paramref name="to"/>, straight between; 0 where nothing is known.</summary>
    private static double Rise(double value, double from, double to, double weight) =>
        value > from ? weight * Math.Min(1, (value - from) / (to - from)) : 0;

    private static RankedCause Take(Span<double> scores, double sum)
    {
        int best = 0;
        for (int i = 1; i < scores.Length; i++)
        {
            if (scores[i] > scores[best])
                best = i;
        }
        double confidence = scores[best] / sum;
        scores[best] = -1;
        return confidence > 0 ? new RankedCause((Cause)best, confidence) : default;
    }
}
