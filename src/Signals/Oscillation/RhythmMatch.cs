namespace Dancerwatch.Signals.Oscillation;

/// <summary>
/// Names the rhythm of a tone: rotations first, by rate; then the loop, by film balance and phase; else unknown.
/// </summary>
/// <remarks>
/// Film balance: d(film stored)/dt = in - out. If the draw is steady at that frequency, unwind speed must lead fill by
/// 90 degrees, at an amplitude of turn rate times stored film. A loop that hunts does just that: the store lags by 90
/// degrees, so controller and drive must lag by the other 90 for the loop to sustain itself (Barkhausen), whatever the
/// controller is made of. Where the draw drives, the unwind only answers: its share by film balance is small, or its
/// phase nears 180 degrees (faster when fill is low).
/// </remarks>
internal static class RhythmMatch
{
    private const int MostCycleMultiples = 6;
    private const int MostTurnMultiples = 3;

    /// <summary>Rate tags and a free-running cycle agree within this share.</summary>
    private const double CycleTolerance = 0.005;

    /// <summary>Line speed over a diameter is known about this well.</summary>
    private const double TurnTolerance = 0.03;
    private const double LoopLeadDegrees = 90;
    private const double LoopLeadToleranceDegrees = 35;

    /// <summary>The unwind feeds the movement when it accounts for at least this share of it.</summary>
    private const double FeedingShare = 0.5;

    /// <summary>Below this share the draw drives.</summary>
    private const double AnsweringShare = 0.35;

    public static (Rhythm Rhythm, int Multiple) Name(
        in WindowFinding tone,
        double phaseDegrees,
        double unwindShare,
        double slowestCycleHz,
        double fastestCycleHz,
        double turnHz
    )
    {
        int cycle = Multiple(tone, slowestCycleHz, fastestCycleHz, MostCycleMultiples, CycleTolerance);
        if (cycle > 0)
            return (Rhythm.MachineCycle, cycle);
        int turn = Multiple(tone, turnHz, turnHz, MostTurnMultiples, TurnTolerance);
        if (turn > 0)
            return (Rhythm.RollTurn, turn);
        return IsFedByUnwind(phaseDegrees, unwindShare) ? (Rhythm.ControlLoop, 0) : (Rhythm.Unknown, 0);
    }

    /// <summary>
    /// Whether a tone can be taken for the cycle where no rate is known: in the range of packaging machines, with
    /// overtones as a draw in jerks makes, and not fed by the unwind.
    /// </summary>
    public static bool MayBeCycle(in WindowFinding tone, double unwindShare, double turnHz) =>
        tone.FrequencyHz is > 0.3 and < 3
        && Multiple(tone, turnHz, turnHz, MostTurnMultiples, TurnTolerance) == 0
        && (double.IsNaN(unwindShare) ? tone.HasOvertones : unwindShare < AnsweringShare);

    private static bool IsFedByUnwind(double phaseDegrees, double unwindShare) =>
        Math.Abs(phaseDegrees - LoopLeadDegrees) <= LoopLeadToleranceDegrees
        && (double.IsNaN(unwindShare) || unwindShare >= FeedingShare);

    /// <summary>The multiple of any rate between two that a tone fits; 0 for none.</summary>
    private static int Multiple(
        in WindowFinding tone,
        double slowestHz,
        double fastestHz,
        int most,
        double tolerance
    )
    {
        if (!(slowestHz > 0))
            return 0;
        for (int multiple = 1; multiple <= most; multiple++)
        {
            double rate = Math.Clamp(tone.FrequencyHz, multiple * slowestHz, multiple * fastestHz);
            double reach = Math.Max(3 * tone.FrequencySdHz, 0.25 / tone.SpanSeconds);
            reach = Math.Sqrt(reach * reach + tolerance * rate * tolerance * rate);
            if (Math.Abs(tone.FrequencyHz - rate) <= reach)
                return multiple;
        }
        return 0;
    }
}
