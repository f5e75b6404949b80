using Dancerwatch.Signals;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>When to warn: one sensitivity for all, and one section for each condition, whose limit and deadband carry the condition's own unit in their names.</summary>
internal static class WarningsShape
{
    private static readonly WarningSettings s_usual = new();

    /// <param name="sensitivity">Where none is chosen.</param>
    public static WarningSettings Read(Section s, double sensitivity = 1)
    {
        return new WarningSettings
        {
            Sensitivity = s.Number(
                "sensitivity",
                "One setting for all conditions but roll-ending and data-lost: above 1 warns sooner and oftener, below 1 later and less often. Left out: 1, or 0.5 where neither running nor lineSpeed is read.",
                0.2,
                5,
                sensitivity
            ),
            LimitApproach = Read(
                s,
                Condition.LimitApproach,
                "Fill is projected past a trip within limitSeconds.",
                s_usual.LimitApproach,
                new Limit("Seconds", 0.5, 120, RaisedAbove: false)
            ),
            TripLikely = Read(
                s,
                Condition.TripLikely,
                "The probability of a trip within 5 min is above limitProbability; none is ever foretold with more than 0.65.",
                s_usual.TripLikely,
                new Limit("Probability", 0.01, WarningSettings.MostProbable)
            ),
            MarginLow = Read(
                s,
                Condition.MarginLow,
                "The 1-min band comes closer to a trip than limitPercent of fill.",
                s_usual.MarginLow,
                new Limit("Percent", 0, 50, RaisedAbove: false)
            ),
            Oscillation = Read(
                s,
                Condition.Oscillation,
                "Fill swings regularly by more than limitPercent, zero to peak.",
                s_usual.Oscillation,
                new Limit("Percent", 0.1, 100)
            ),
            OffTarget = Read(
                s,
                Condition.OffTarget,
                "The 1-min median of fill is further from the target than limitPercent.",
                s_usual.OffTarget,
                new Limit("Percent", 0.1, 100)
            ),
            DriveLimit = Read(
                s,
                Condition.DriveLimit,
                "The drive was at its limit, or fell short of what it was asked for, for more than limitShare of the last half minute, 0 to 1.",
                s_usual.DriveLimit,
                new Limit("Share", 0.01, 1)
            ),
            RollOverrun = Read(
                s,
                Condition.RollOverrun,
                "After a stop, or as overruns grow after the next ones, less than limitPercent of fill is left to the full side's trip.",
                s_usual.RollOverrun,
                new Limit("Percent", 0, 50, RaisedAbove: false)
            ),
            SensorSuspect = Read(
                s,
                Condition.SensorSuspect,
                "The weight of evidence against the sensor is above limitWeight, 0 to 1.",
                s_usual.SensorSuspect,
                new Limit("Weight", 0.01, 1)
            ),
            RollEnding = Read(
                s,
                Condition.RollEnding,
                "The roll will last for less than limitMinutes.",
                s_usual.RollEnding,
                new Limit("Minutes", 0.1, 600, RaisedAbove: false)
            ),
            DataLost = Read(
                s,
                Condition.DataLost,
                "No good reading for limitSeconds.",
                s_usual.DataLost,
                new Limit("Seconds", 0.1, 3_600)
            ),
        };
    }

    private static ConditionSettings Read(
        Section s,
        Condition condition,
        string meaning,
        ConditionSettings usual,
        Limit limit
    ) => s.OrEmpty(condition.Code(), meaning, inner => Read(inner, usual, limit));

    private static ConditionSettings Read(Section s, ConditionSettings usual, Limit limit)
    {
        const double longestDelaySeconds = 3_600;
        string limitKey = "limit" + limit.Unit;
        string deadbandKey = "deadband" + limit.Unit;
        ConditionSettings settings = new(
            OnDelaySeconds: s.Number(
                "onDelaySeconds",
                "How long the evidence must hold before it is raised, s.",
                0,
                longestDelaySeconds,
                usual.OnDelaySeconds
            ),
            OffDelaySeconds: s.Number(
                "offDelaySeconds",
                "How long the evidence must be gone before it is cleared, s.",
                0,
                longestDelaySeconds,
                usual.OffDelaySeconds
            ),
            Limit: s.Number(limitKey, "The level that raises it.", limit.Minimum, limit.Maximum, usual.Limit),
            Deadband: s.Number(
                deadbandKey,
                "How far back from the limit the evidence must go to count as gone.",
                0,
                limit.Maximum,
                usual.Deadband
            ),
            Enabled: s.Switch("enabled", "False: never raised.", usual.Enabled)
        );
        if (limit.RaisedAbove && settings.Deadband > settings.Limit)
            s.Refuse(
                deadbandKey,
                $"at most {limitKey} ({settings.Limit}), or it would never clear",
                "Make it smaller."
            );
        return settings;
    }

    /// <summary>The unit of a condition's limit and its range, and on which side of it the condition is raised.</summary>
    private readonly record struct Limit(
        string Unit,
        double Minimum,
        double Maximum,
        bool RaisedAbove = true
    );
}
