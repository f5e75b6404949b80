using Dancerwatch.VirtualMachine.Faults;

namespace Dancerwatch.EndToEnd.Tests.Signals;

/// <summary>A machine's hour, or less of it: what goes wrong, if anything, and what its people do meanwhile.</summary>
/// <param name="Name">For reports.</param>
/// <param name="Fault">What goes wrong; null: nothing.</param>
/// <param name="GrowthSeconds">From nothing to its worst, s.</param>
/// <param name="RunSeconds">Time the machine runs between stops, s; infinity: it is not stopped.</param>
/// <param name="DurationSeconds">Length, s; ended by the first trip.</param>
/// <param name="Act">What its people do at a time, called four times a second; may be null.</param>
internal sealed record Scenario(
    string Name,
    Fault? Fault = null,
    double GrowthSeconds = 0,
    double RunSeconds = double.PositiveInfinity,
    double DurationSeconds = 1_200,
    Action<ScenarioRun>? Act = null
)
{
    /// <summary>When a fault begins, s: after what is usual was learned.</summary>
    public const double FaultStartSeconds = 240;

    /// <summary>Every fault, at a growth a machine's people could still act on or, where it strikes, in seconds.</summary>
    public static IReadOnlyList<Scenario> Faults { get; } =
    [
        new("loop hunting", VirtualMachine.Faults.Fault.LoopHunting, 600),
        new("roll eccentricity", VirtualMachine.Faults.Fault.RollEccentricity, 600),
        new("cycle swing", VirtualMachine.Faults.Fault.CycleSwing, 600),
        new("brake drag", VirtualMachine.Faults.Fault.BrakeDrag, 600),
        new("roll overrun", VirtualMachine.Faults.Fault.RollOverrun, 900, RunSeconds: 60),
        new("sensor drift", VirtualMachine.Faults.Fault.SensorDrift, 600),
        new("sensor noise", VirtualMachine.Faults.Fault.SensorNoise, 600),
        new("sensor stuck", VirtualMachine.Faults.Fault.SensorStuck, 0),
        new("drive saturation", VirtualMachine.Faults.Fault.DriveSaturation, 600),
        new("roll ending", VirtualMachine.Faults.Fault.RollEnding, 600),
        new("film snag", VirtualMachine.Faults.Fault.FilmSnag, 600),
        new("set-point error", VirtualMachine.Faults.Fault.SetpointError, 600),
    ];

    /// <summary>Nothing wrong, and all that a machine's day brings.</summary>
    public static IReadOnlyList<Scenario> Healthy { get; } =
    [
        new("steady"),
        new("starts and stops", RunSeconds: 45),
        new("product change", Act: run => run.At(600, ChangeProduct)),
        new("roll change", Act: run => run.While(600, 660, ChangeRoll)),
        new("splices", Act: run => run.Every(120, r => r.Dancer.Splice())),
        new("speed ramp", Act: run => run.Every(200, ChangeSpeed)),
        new("lost and late reads"),
        new(
            "hand-moved dancer",
            Act: run => run.While(600, 660, r => r.Dancer.MoveDancerByHand(r.Random.Next(5, 100)))
        ),
    ];

    private static void ChangeProduct(ScenarioRun run) =>
        run.Dancer.ChangeProduct(
            2,
            run.Machine.BagLengthMillimeters * 0.8,
            run.Machine.CyclesPerMinute * 1.1
        );

    private static void ChangeRoll(ScenarioRun run) =>
        run.Dancer.ChangeRoll(run.Machine.RollDiameterMillimeters);

    private static void ChangeSpeed(ScenarioRun run) =>
        run.Dancer.SetSpeed(run.Machine.CyclesPerMinute * (0.7 + 0.4 * run.Random.NextDouble()));
}
