using Dancerwatch.VirtualMachine.Faults;

namespace Dancerwatch.Bench.WarningQuality.Scenarios;

/// <summary>All that is run.</summary>
internal static class Ensemble
{
    /// <summary>Every fault, growing over 2 to 30 minutes, and those that can strike, striking.</summary>
    public static IReadOnlyList<Scenario> Faults { get; } =
    [
        Developing("loop hunting", Fault.LoopHunting),
        Developing("roll eccentricity", Fault.RollEccentricity),
        Developing("cycle swing", Fault.CycleSwing),
        Developing("brake drag", Fault.BrakeDrag),
        Developing("roll overrun", Fault.RollOverrun) with
        {
            RunSeconds = 60,
        },
        Developing("sensor drift", Fault.SensorDrift),
        Developing("sensor noise", Fault.SensorNoise),
        Developing("sensor stuck", Fault.SensorStuck),
        Developing("drive saturation", Fault.DriveSaturation),
        Developing("roll ending", Fault.RollEnding),
        Developing("film snag", Fault.FilmSnag),
        Developing("set-point error", Fault.SetpointError),
        Sudden("brake seizes", Fault.BrakeDrag),
        Sudden("film snags", Fault.FilmSnag),
        Sudden("drive loses speed", Fault.DriveSaturation),
        Sudden("sensor sticks", Fault.SensorStuck),
        Sudden("gain is changed", Fault.LoopHunting),
        Sudden("chuck breaks", Fault.RollEccentricity),
    ];

    /// <summary>Nothing wrong, and all that a machine's day brings.</summary>
    public static IReadOnlyList<Scenario> Healthy { get; } =
    [
        new("steady"),
        new("starts and stops") { RunSeconds = 45 },
        new("recipe change") { Day = static crew => crew.Every(600, c => c.ChangeRecipe()) },
        new("roll change") { Day = static crew => crew.StopEvery(600, c => c.ChangeRoll()) },
        new("splice bump") { Day = static crew => crew.Every(120, c => c.Splice()) },
        new("speed ramp") { Day = static crew => crew.Every(200, c => c.ChangeSpeed()) },
        new("poor reads") { Reads = ReadQuality.Poor },
        new("harmless eccentricity")
        {
            Built = static (machine, random) =>
                machine with
                {
                    EccentricityMillimeters = 1.5 + (1.5 * random.NextDouble()),
                },
        },
        new("dancer moved by hand") { Day = static crew => crew.StopEvery(600, c => c.MoveDancer()) },
    ];

    private static Scenario Developing(string name, Fault fault) => new(name, fault, Pace.Developing);

    private static Scenario Sudden(string name, Fault fault) => new(name, fault, Pace.Sudden);
}
