namespace Dancerwatch.Signals.Warnings;

/// <summary>Times, level and switch of one condition.</summary>
/// <param name="OnDelaySeconds">How long the evidence must hold before the condition is raised, s.</param>
/// <param name="OffDelaySeconds">How long it must be gone before the condition is cleared, s.</param>
/// <param name="Limit">The level that raises it, in the condition's own unit (see <see cref="WarningSettings"/>).</param>
/// <param name="Deadband">How far back from <paramref name="Limit"/> the evidence must go to count as gone, same unit.</param>
/// <param name="Enabled">False: never raised.</param>
public sealed record ConditionSettings(
    double OnDelaySeconds,
    double OffDelaySeconds,
    double Limit,
    double Deadband,
    bool Enabled = true
);

/// <summary>Settings of every condition.</summary>
public sealed record WarningSettings
{
    /// <summary>Limit: seconds to the trip.</summary>
    public ConditionSettings LimitApproach { get; init; } = new(0.15, 60, 8, 4);

    /// <summary>No trip within 5 min is foretold with a higher probability: near an end the controller may still hold the film.</summary>
    public const double MostProbable = 0.65;

    /// <summary>Limit: probability within 5 min, 0 to <see cref="MostProbable"/>.</summary>
    public ConditionSettings TripLikely { get; init; } = new(5, 60, 0.4, 0.15);

    /// <summary>Limit: margin of the 1-min band, % of fill.</summary>
    public ConditionSettings MarginLow { get; init; } = new(10, 60, 10, 5);

    /// <summary>Limit: zero-to-peak amplitude, % of fill.</summary>
    public ConditionSettings Oscillation { get; init; } = new(10, 60, 8, 2);

    /// <summary>Limit: distance of the 1-min median from the target, % of fill.</summary>
    public ConditionSettings OffTarget { get; init; } = new(30, 60, 15, 5);

    /// <summary>Limit: share of the last half minute at the drive's limit, 0 to 1.</summary>
    public ConditionSettings DriveLimit { get; init; } = new(5, 30, 0.5, 0.2);

    /// <summary>Limit: room left to the full side's trip after a stop, % of fill.</summary>
    public ConditionSettings RollOverrun { get; init; } = new(0, 60, 10, 5);

    /// <summary>Limit: weight of evidence against the sensor, 0 to 1.</summary>
    public ConditionSettings SensorSuspect { get; init; } = new(3, 60, 0.7, 0.3);

    /// <summary>Limit: minutes left on the roll.</summary>
    public ConditionSettings RollEnding { get; init; } = new(5, 30, 5, 2);

    /// <summary>Limit: seconds without a good reading.</summary>
    public ConditionSettings DataLost { get; init; } = new(0, 2, 3, 0);

    /// <summary>Conditions of a lesser priority are not raised.</summary>
    public Priority LeastPriority { get; init; } = Priority.Low;

    /// <summary>
    /// One setting for all: above 1 warns sooner and more often, below 1 later and less often. Multiplies limits that warn
    /// from below, divides those that warn from above, and shifts the odds of those that are probabilities or shares; what is
    /// certain (roll ending, data lost) stays.
    /// </summary>
    public double Sensitivity { get; init; } = 1;

    /// <summary>
    /// Sensitivity where nobody chose one. Without a signal that tells whether and how fast the machine runs, every change of
    /// its speed and every hand on its roll has to be guessed, and warnings wait for stronger evidence: chosen on the operating
    /// curves of machines that were read so, in favour of few false warnings.
    /// </summary>
    /// <param name="isRunKnown">Running or line speed are read.</param>
    public static double UsualSensitivity(bool isRunKnown) => isRunKnown ? 1 : 0.5;

    /// <summary>Settings of one condition as configured, before <see cref="Sensitivity"/>.</summary>
    public ConditionSettings this[Condition condition] =>
        condition switch
        {
            Condition.LimitApproach => LimitApproach,
            Condition.TripLikely => TripLikely,
            Condition.MarginLow => MarginLow,
            Condition.Oscillation => Oscillation,
            Condition.OffTarget => OffTarget,
            Condition.DriveLimit => DriveLimit,
            Condition.RollOverrun => RollOverrun,
            Condition.SensorSuspect => SensorSuspect,
            Condition.RollEnding => RollEnding,
            Condition.DataLost => DataLost,
            _ => throw new ArgumentOutOfRangeException(nameof(condition), condition, "not a condition"),
        };

    /// <summary>These settings with those of one condition replaced.</summary>
    public WarningSettings With(Condition condition, ConditionSettings settings) =>
        condition switch
        {
            Condition.LimitApproach => this with { LimitApproach = settings },
            Condition.TripLikely => this with { TripLikely = settings },
            Condition.MarginLow => this with { MarginLow = settings },
            Condition.Oscillation => this with { Oscillation = settings },
            Condition.OffTarget => this with { OffTarget = settings },
            Condition.DriveLimit => this with { DriveLimit = settings },
            Condition.RollOverrun => this with { RollOverrun = settings },
            Condition.SensorSuspect => this with { SensorSuspect = settings },
            Condition.RollEnding => this with { RollEnding = settings },
            Condition.DataLost => this with { DataLost = settings },
            _ => throw new ArgumentOutOfRangeException(nameof(condition), condition, "not a condition"),
        };

    /// <summary>These settings with <see cref="Sensitivity"/> put into each limit.</summary>
    internal WarningSettings AtSensitivity()
    {
        double s = Sensitivity;
        return this with
        {
            LimitApproach = Limit(LimitApproach, LimitApproach.Limit * s),
            MarginLow = Limit(MarginLow, MarginLow.Limit * s),
            Oscillation = Limit(Oscillation, Oscillation.Limit / s),
            OffTarget = Limit(OffTarget, OffTarget.Limit / s),
            RollOverrun = Limit(RollOverrun, RollOverrun.Limit * s),
            TripLikely = Limit(TripLikely, LessOdds(TripLikely.Limit, s)),
            DriveLimit = Limit(DriveLimit, LessOdds(DriveLimit.Limit, s)),
            SensorSuspect = Limit(SensorSuspect, LessOdds(SensorSuspect.Limit, s)),
            Sensitivity = 1,
        };

        static ConditionSettings Limit(ConditionSettings condition, double limit) =>
            condition with
            {
                Limit = limit,
            };
        static double LessOdds(double share, double by) => share / (share + by * (1 - share));
    }
}
