namespace Dancerwatch.Signals.Causes;

/// <summary>
/// What to look at first for a cause, and the caution that goes with it. Nothing here asks anybody to go past a guard.
/// </summary>
internal static class CauseCheck
{
    private const string LockOut = "Lock out as the machine's manual says before a hand goes near ";

    /// <summary>What to look at first, and the caution that goes with it.</summary>
    public static string Of(Cause cause) =>
        cause switch
        {
            Cause.LoopHunting =>
                "Look at the dancer's gain and damping in the controller, then at play in the dancer's bearings and the sensor's mounting. "
                    + LockOut
                    + "the dancer.",
            Cause.RollEccentricity => "Look whether the roll is round and seated on its chuck. "
                + LockOut
                + "the roll.",
            Cause.CycleSwing =>
                "Look at bag length, speed and the pull's ramp in the recipe, and at spring or air of the dancer. "
                    + LockOut
                    + "spring or air.",
            Cause.BrakeDrag =>
                "Look whether the spindle brake releases fully while running: air pressure, spring, linkage, worn lining. "
                    + LockOut
                    + "brake, spring or air.",
            Cause.RollOverrun =>
                "Look whether the spindle brake grips at a stop: air pressure, spring, worn or oily lining. "
                    + LockOut
                    + "brake, spring or air.",
            Cause.SensorDrift =>
                "Compare the gap with the dancer at both ends to the taught set points; look at the sensor's mounting, temperature and cam. "
                    + LockOut
                    + "the dancer.",
            Cause.SensorNoise =>
                "Look at the sensor's cable, shield and connector, and at welding or drives beside it. "
                    + LockOut
                    + "the dancer.",
            Cause.SensorStuck =>
                "Look whether the dancer moves freely and the sensor's signal follows it: plug, cable, broken cam. "
                    + LockOut
                    + "the dancer.",
            Cause.DriveSaturation =>
                "Look at the unwind's highest speed and current limit against the line's speed, and at the drive's warnings.",
            Cause.RollEnding => "Prepare the next roll.",
            Cause.FilmSnag =>
                "Look along the film path from roll to machine for film that sticks, tears or has jumped a roller. "
                    + LockOut
                    + "a nip.",
            Cause.SetpointError =>
                "Compare target fill and both taught set points with the machine's sheet; teach them again as its manual says.",
            _ => "Watch the dancer for a few cycles from outside the guard: does it swing, sink, or stand?",
        };
}
