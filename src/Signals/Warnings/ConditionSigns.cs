using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.Signals.Warnings;

/// <summary>What an assessment says for or against each condition: its number against its limit, its side, its priority.</summary>
/// <param name="settings">Limits.</param>
/// <param name="fill">Where the machine trips.</param>
internal sealed class ConditionSigns(WarningSettings settings, FillSettings fill)
{
    private const double ProbableWithinAMinute = 0.45;
    private const double BandSeconds = 65;

    /// <summary>An overrun beyond the usual one is taken to grow as much again so many times: it grows from stop to stop.</summary>
    private const double GrowthWeight = 1.5;

    /// <summary>Signs that only a running machine can give.</summary>
    public ConditionSign WhileRunning(Condition condition, Assessment a, in CauseSigns s) =>
        condition switch
        {
            Condition.LimitApproach => Below(
                a.Forecast.SecondsToLimit,
                settings.LimitApproach,
                a.Forecast.Side,
                Priority.High
            ),
            Condition.TripLikely => Above(
                a.Forecast.ProbabilityIn5Minutes,
                settings.TripLikely,
                a.Forecast.LikelySide,
                a.Forecast.ProbabilityIn1Minute > ProbableWithinAMinute ? Priority.High : Priority.Medium
            ),
            Condition.MarginLow => MarginLow(a),
            Condition.Oscillation => Oscillation(a, s),
            Condition.OffTarget => OffTarget(a, s),
            Condition.DriveLimit => Above(s.StrainShare, settings.DriveLimit, Side.Empty, Priority.Medium),
            Condition.RollEnding => Below(
                a.Roll.MinutesLeft,
                settings.RollEnding,
                Side.Empty,
                a.Roll.MinutesLeft < 1 ? Priority.Medium : Priority.Low
            ),
            Condition.SensorSuspect => SensorSuspect(a, s),
            _ => throw new ArgumentOutOfRangeException(
                nameof(condition),
                condition,
                "not judged while running"
            ),
        };

    /// <summary>A stop shows it, and until the next stop nothing else can.</summary>
    public ConditionSign RollOverrun(in CauseSigns s)
    {
        double room = fill.FullTripPercent - s.FillAfterStopPercent;
        return Below(
            room - (GrowthWeight * s.OverrunGrowthPercent),
            settings.RollOverrun,
            Side.Full,
            room < settings.MarginLow.Limit ? Priority.Medium : Priority.Low
        );
    }

    /// <param name="secondsWithoutGood">Time since the last good reading, s.</param>
    public ConditionSign DataLost(double secondsWithoutGood) =>
        Above(secondsWithoutGood, settings.DataLost, Side.None, Priority.Medium);

    private ConditionSign MarginLow(Assessment a)
    {
        // The last minute's band is of this run only once it is over a minute old: before, a start is in it.
        if (a.Regime.Seconds < BandSeconds)
            return ConditionSign.Gone;
        double full = a.Margin.Full.Percent;
        double empty = a.Margin.Empty.Percent;
        double margin = Math.Min(full, empty);
        ConditionSettings limit = settings.MarginLow;
        Priority priority = margin < limit.Limit / 2 ? Priority.Medium : Priority.Low;
        return Below(margin, limit, full < empty ? Side.Full : Side.Empty, priority);
    }

    private ConditionSign OffTarget(Assessment a, in CauseSigns s)
    {
        double off = a.OneMinute.P50 + s.SetPointOffsetPercent - a.Fill.TargetPercent;
        Priority priority = Math.Abs(off) > 2 * settings.OffTarget.Limit ? Priority.Medium : Priority.Low;
        return Above(Math.Abs(off), settings.OffTarget, off > 0 ? Side.Full : Side.Empty, priority);
    }

    private ConditionSign Oscillation(Assessment a, in CauseSigns s)
    {
        double swing = SwingOf(a.Oscillation, s, out bool isOfTurn);
        Side side = isOfTurn ? Side.Empty : a.Forecast.LikelySide;
        return Above(swing, settings.Oscillation, side, PriorityOf(swing));
    }

    /// <summary>
    /// How far fill swings, %, or the unwind's speed with the roll where that is more. The machine's own cycle is no
    /// oscillation, whether its rate is known or not.
    /// </summary>
    public static double SwingOf(in OscillationEstimate o, in CauseSigns s, out bool isOfTurn)
    {
        bool isIts =
            o.Rhythm is Rhythm.ControlLoop or Rhythm.RollTurn
            || (o.Rhythm == Rhythm.Unknown && o.FrequencyHz < CauseRanker.SlowestCycleHz);
        double amplitude = isIts ? o.AmplitudePercent : 0;
        double ofTurn = s.TurnPercent - s.UsualTurnPercent;
        isOfTurn = ofTurn > amplitude;
        return isOfTurn ? ofTurn : amplitude;
    }

    private Priority PriorityOf(double amplitude) =>
        amplitude > 2 * settings.Oscillation.Limit ? Priority.Medium : Priority.Low;

    private ConditionSign SensorSuspect(Assessment a, in CauseSigns s)
    {
        double weight = Sensor(a.Causes.First) + Sensor(a.Causes.Second) + Sensor(a.Causes.Third);
        return Above(weight, settings.SensorSuspect, SensorSide(a.Causes.First.Cause, a, s), Priority.Medium);
    }

    /// <summary>Where a controller that believes the sensor will drive the dancer.</summary>
    private static Side SensorSide(Cause cause, Assessment a, in CauseSigns s) =>
        cause switch
        {
            Cause.SensorStuck => a.Fill.Percent < a.Fill.TargetPercent ? Side.Full : Side.Empty,
            Cause.SensorDrift => s.ContradictionPercent > 0 ? Side.Empty : Side.Full,
            Cause.SensorNoise => s.SmallGapSide,
            _ => Side.None,
        };

    private static double Sensor(in RankedCause cause) =>
        cause.Cause is Cause.SensorDrift or Cause.SensorNoise or Cause.SensorStuck ? cause.Confidence : 0;

    private static ConditionSign Above(double value, ConditionSettings limit, Side side, Priority priority) =>
        new(value - limit.Limit, side, priority);

    private static ConditionSign Below(double value, ConditionSettings limit, Side side, Priority priority) =>
        new(limit.Limit - value, side, priority);
}
