using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Signals.Warnings;

/// <summary>What an assessment says for or against each condition: its number against its limit, its side, its priority.</summary>
/// <param name="settings">Limits.</param>
/// <param name="fill">Where the machine trips.</param>
internal sealed class ConditionSigns(WarningSettings settings, FillSettings fill)
{
    private const double ProbableWithinAMinute = 0.5;

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
            Condition.Oscillation => Above(
                a.Oscillation.IsOscillating ? a.Oscillation.AmplitudePercent : 0,
                settings.Oscillation,
                Side.None,
                a.Oscillation.AmplitudePercent > 2 * settings.Oscillation.Limit
                    ? Priority.Medium
                    : Priority.Low
            ),
            Condition.OffTarget => OffTarget(a),
            Condition.DriveLimit => Above(s.StrainShare, settings.DriveLimit, Side.Empty, Priority.Medium),
            Condition.RollEnding => Below(
                a.Roll.MinutesLeft,
                settings.RollEnding,
                Side.Empty,
                a.Roll.MinutesLeft < 1 ? Priority.Medium : Priority.Low
            ),
            Condition.SensorSuspect => SensorSuspect(a),
            _ => throw new ArgumentOutOfRangeException(
                nameof(condition),
                condition,
                "not judged while running"
            ),
        };

    /// <summary>A stop shows it, and until the next stop nothing else can.</summary>
    public ConditionSign RollOverrun(in CauseSigns s) =>
        Above(
            s.OverrunPercent,
            settings.RollOverrun,
            Side.Full,
            s.FillAfterStopPercent > fill.FullTripPercent - settings.MarginLow.Limit
                ? Priority.Medium
                : Priority.Low
        );

    /// <param name="secondsWithoutGood">Time since the last good reading, s.</param>
    public ConditionSign DataLost(double secondsWithoutGood) =>
        Above(secondsWithoutGood, settings.DataLost, Side.None, Priority.Medium);

    private ConditionSign MarginLow(Assessment a)
    {
        double full = a.Margin.Full.Percent;
        double empty = a.Margin.Empty.Percent;
        double margin = Math.Min(full, empty);
        ConditionSettings limit = settings.MarginLow;
        Priority priority = margin < limit.Limit / 2 ? Priority.Medium : Priority.Low;
        return Below(margin, limit, full < empty ? Side.Full : Side.Empty, priority);
    }

    private ConditionSign OffTarget(Assessment a)
    {
        double off = a.OneMinute.P50 - a.Fill.TargetPercent;
        Priority priority = Math.Abs(off) > 2 * settings.OffTarget.Limit ? Priority.Medium : Priority.Low;
        return Above(Math.Abs(off), settings.OffTarget, off > 0 ? Side.Full : Side.Empty, priority);
    }

    private ConditionSign SensorSuspect(Assessment a)
    {
        double weight = Sensor(a.Causes.First) + Sensor(a.Causes.Second) + Sensor(a.Causes.Third);
        return Above(weight, settings.SensorSuspect, Side.None, Priority.Medium);
    }

    private static double Sensor(in RankedCause cause) =>
        cause.Cause is Cause.SensorDrift or Cause.SensorNoise or Cause.SensorStuck ? cause.Confidence : 0;

    private static ConditionSign Above(double value, ConditionSettings limit, Side side, Priority priority) =>
        new(value - limit.Limit, side, priority);

    private static ConditionSign Below(double value, ConditionSettings limit, Side side, Priority priority) =>
        new(limit.Limit - value, side, priority);
}
