namespace Dancerwatch.Signals.Survey.Results;

/// <summary>
/// The target fill that leaves as much room before one trip as before the other. With the film rising by U above and falling by D
/// below its middle, and trips at 100 + o and -o, the margins <c>100 + o - T - U</c> and <c>T - D + o</c> are equal at
/// <c>T = (100 - U + D) / 2</c>. Where the brake would then bear while the film still swings up to it, the target goes
/// lower, until the swing just keeps clear.
/// </summary>
/// <param name="Target">%.</param>
/// <param name="Rise">U: the larger of what running and a stop raise fill above its middle, %.</param>
/// <param name="Fall">D, %.</param>
/// <param name="StopDecides">A stop raises fill further than running does.</param>
/// <param name="BrakeDecides">The brake, and not the trip, limits the upper side.</param>
/// <param name="FullMargin">Left before the full side's trip at that target, %.</param>
/// <param name="EmptyMargin">Left before the empty side's trip at that target, %.</param>
public readonly record struct TargetAdvice(
    Uncertain Target,
    double Rise,
    double Fall,
    bool StopDecides,
    bool BrakeDecides,
    double FullMargin,
    double EmptyMargin
)
{
    /// <summary>Running film keeps this far below where the brake starts to hold, %: common practice, no source.</summary>
    public const double BrakeClearPercent = 2;

    public static TargetAdvice Unknown =>
        new(Uncertain.Unknown, double.NaN, double.NaN, false, false, double.NaN, double.NaN);

    /// <param name="runRise">What running raises fill above its middle, %.</param>
    /// <param name="runFall">What it lowers it, %.</param>
    /// <param name="runPlus">How far these may be off, %.</param>
    /// <param name="stopRise">What a stop raises fill above its middle, %; NaN where none was seen.</param>
    /// <param name="bearsFrom">Fill from which the brake holds, %; NaN where not known.</param>
    /// <param name="overtravel">%.</param>
    internal static TargetAdvice Of(
        double runRise,
        double runFall,
        double runPlus,
        double stopRise,
        double bearsFrom,
        double overtravel
    )
    {
        if (!double.IsFinite(runRise) || !double.IsFinite(runFall))
            return Unknown;
        bool stopDecides = stopRise > runRise;
        double rise = stopDecides ? stopRise : runRise;
        double target = (100 - rise + runFall) / 2;
        double clear = bearsFrom - BrakeClearPercent - runRise;
        bool brakeDecides = clear < target;
        if (brakeDecides)
            target = clear;
        return new(
            new Uncertain(target, runPlus),
            rise,
            runFall,
            stopDecides,
            brakeDecides,
            100 + overtravel - target - rise,
            target - runFall + overtravel
        );
    }
}
