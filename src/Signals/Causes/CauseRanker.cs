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
    private const double UnknownScore = 1.5;

    /// <summary>Machines make 20 cycles a minute or more (common practice, no source): what is slower is no cycle, Hz.</summary>
    public const double SlowestCycleHz = 0.3;

    private static readonly int s_causes = (int)Cause.SetpointError + 1;

    public static CauseRanking Rank(in CauseSigns signs)
    {
        Span<double> scores = stackalloc double[s_causes];
        Score(signs, scores);
        double sum = 0;
        for (int i = 0; i < scores.Length; i++)
        {
            scores[i] =
                i == (int)Cause.Unknown ? Math.Exp(UnknownScore) : Math.Exp(Math.Max(0, scores[i])) - 1;
            sum += scores[i];
        }
        return new CauseRanking(Take(scores, sum), Take(scores, sum), Take(scores, sum));
    }

    private static void Score(in CauseSigns s, Span<double> scores)
    {
        OscillationEstimate o = s.Oscillation;
        double amplitude = o.IsOscillating ? o.AmplitudePercent : 0;
        double growth = o.IsOscillating ? Rise(o.GrowthPerSecond, 0, 0.01, 0.5) : 0;
        double large = Rise(amplitude, 2, 10, 3);
        double low = Rise(-s.OffTargetPercent + s.UsualOffTargetPercent, 3, 15, 1);

        bool isTurn = o.Rhythm == Rhythm.RollTurn;
        // A roll off its middle is held and let go once a turn.
        double catches = isTurn ? 0 : Rise(s.RecentCatches, 0.5, 2, 4);
        double slowSwing = Rise(s.SlowSwingPercent - s.UsualSlowSwingPercent, 4, 15, 3);
        // A turn that swings fill by 1 % does not explain a slow swing of 20 %.
        double ofTurn = isTurn ? Rise(2 * amplitude / s.SlowSwingPercent, 0.2, 0.6, 1) : 0;

        scores[(int)Cause.LoopHunting] =
            (o.Rhythm == Rhythm.ControlLoop ? 1 + large + growth : 0)
            + (o.Rhythm == Rhythm.Unknown && o.FrequencyHz < SlowestCycleHz ? 0.5 * (large + growth) : 0)
            + (1 - ofTurn) * slowSwing
            - catches;
        scores[(int)Cause.RollEccentricity] = isTurn ? 1 + large + growth + ofTurn * slowSwing : 0;
        scores[(int)Cause.CycleSwing] =
            (o.Rhythm == Rhythm.MachineCycle ? Rise(amplitude, 5, 20, 1) : 0)
            + Rise(s.SwingPercent / s.UsualSwingPercent, 1.3, 2.2, 3)
            - Rise(s.RoughnessPercent / s.UsualRoughnessPercent, 2, 4, 3)
            - slowSwing;
        scores[(int)Cause.BrakeDrag] =
            Rise(s.LackPercent - s.UsualLackPercent, 2, 8, 3)
            + Rise(s.QuickLackPercent - s.UsualLackPercent, 5, 20, 3)
            + Rise(s.UnwindDropPercent, 20, 60, 2)
            + Rise(s.BrakeShare, 0.05, 0.5, 2)
            + low
            - 0.7 * slowSwing
            - catches;
        scores[(int)Cause.DriveSaturation] =
            Rise(s.CeilingShare, 0.1, 0.6, 3) + low - Rise(s.LostSharePercent, 3, 12, 3) - catches;
        scores[(int)Cause.RollEnding] =
            Rise(-s.MinutesLeft, -8, -4, 3.5)
            + Rise(-s.DiameterMillimeters / s.CoreDiameterMillimeters, -1.15, -1.02, 2);
        scores[(int)Cause.FilmSnag] =
            Rise(s.LostSharePercent, 2.5, 10, 4.5)
            + 1.3 * catches
            + Rise(s.FallPercentPerSecond / s.UsualFallPercentPerSecond, 3, 8, 1)
            + Rise(s.UnwindDropPercent, 20, 60, 1);
        scores[(int)Cause.RollOverrun] = Rise(s.OverrunGrowthPercent, 2, 8, 4);
        scores[(int)Cause.SensorNoise] = Rise(s.RoughnessPercent / s.UsualRoughnessPercent, 1.5, 3, 4);
        scores[(int)Cause.SensorStuck] = Rise(s.StillSeconds / s.UsualStillSeconds, 2, 5, 5);
        scores[(int)Cause.SensorDrift] =
            Rise(Math.Abs(s.ContradictionPercent), 5, 12, 4) - Rise(s.LostSharePercent, 2.5, 6, 4);
        scores[(int)Cause.SetpointError] =
            Rise(s.SetPointShiftPercent, 2, 8, 5)
            + Rise(Math.Abs(s.TargetPercent - s.UsualTargetPercent), 5, 15, 3)
            + Rise(Math.Abs(s.TargetPercent - 50), 15, 30, 2)
            + Rise(Math.Abs(s.OffTargetPercent - s.UsualOffTargetPercent), 6, 20, 1.5)
            - Rise(s.StrainShare, 0.1, 0.5, 2)
            - Rise(s.UnwindDropPercent, 10, 30, 2)
            - slowSwing;
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
