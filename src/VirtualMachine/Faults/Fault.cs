namespace Dancerwatch.VirtualMachine.Faults;

/// <summary>
/// What can go wrong, what it does at severity 1, and the side it trips on in the end where nothing else happens. Each acts
/// as physics on one part of the machine (<see cref="Defects"/>); nothing is written into the readings.
/// </summary>
public enum Fault
{
    /// <summary>
    /// The loop swings by itself: trim gain 10 times, fill filtered by 3.5 s, drive slower by 1.5 s. Either side, the
    /// empty one more often, where no brake helps.
    /// </summary>
    LoopHunting,

    /// <summary>
    /// The roll sits off its middle by 30 % of its radius (a broken chuck): film comes unevenly and the roll's weight pulls
    /// the spindle round and back once a turn, until the drive cannot lift it. Empty side.
    /// </summary>
    RollEccentricity,

    /// <summary>Longer bags at the same film speed, until one pull is 1.7 times the storage. Empty side.</summary>
    CycleSwing,

    /// <summary>The brake does not come off: it drags with 1.5 times the drive's torque. Empty side.</summary>
    BrakeDrag,

    /// <summary>
    /// Brake lining and drive hold nothing back: the roll runs on when the machine stops. Full side, at a stop, where the roll
    /// is big and the storage small.
    /// </summary>
    RollOverrun,

    /// <summary>
    /// The gap reads 110 % higher fill than there is: grown slowly, the controller empties the accumulator; the dancer makes
    /// its end switch on the empty side while fill still reads near target.
    /// </summary>
    SensorDrift,

    /// <summary>
    /// 50 times the noise, then the face touches the cam for twice the trip's hold time: the gap reads nothing. The side where
    /// the gap is small: empty where the gap grows with fill, full where it shrinks.
    /// </summary>
    SensorNoise,

    /// <summary>
    /// The gap stops at one value over a growing part of travel, from the end where it is large to 15 % past target: the
    /// controller sees an error that never goes. Full where the gap grows with fill (a spring-linked brake may save it), empty
    /// where it shrinks.
    /// </summary>
    SensorStuck,

    /// <summary>The drive's top speed falls to 90 % of what the line takes. Empty side.</summary>
    DriveSaturation,

    /// <summary>
    /// The roll is at its end when the fault has grown, at nominal speed; severity is not used (a roll ends or it does not).
    /// Empty side.
    /// </summary>
    RollEnding,

    /// <summary>
    /// Film catches on the roll in jerks, twice the drive's torque each; the share of time it is caught is severity squared. Empty side.
    /// </summary>
    FilmSnag,

    /// <summary>
    /// Both set points put higher by 75 % of their span, little by little. Full side where the gap grows with fill (a
    /// spring-linked brake may save it), empty where it shrinks. Put in at once, fill leaps past the other side's trip.
    /// </summary>
    SetpointError,
}
