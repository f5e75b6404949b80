using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.WarningQuality.FilmPath;

/// <summary>A quarter of an hour at a machine whose film wanders, because of its unwind or for reasons elsewhere.</summary>
/// <param name="Name">For the table.</param>
/// <param name="Fault">What is wrong with the unwind; null: nothing.</param>
internal sealed record FilmPathDay(string Name, Fault? Fault = null)
{
    /// <summary>Mean time the machine runs between two stops, s; infinity: it is not stopped.</summary>
    public double RunSeconds { get; init; } = double.PositiveInfinity;

    /// <summary>Share of reads that fail.</summary>
    public double LossShare { get; init; } = 0.005;

    /// <summary>Share of reads that bring what was read before.</summary>
    public double StaleShare { get; init; }

    /// <summary>What is different about the machine.</summary>
    public Func<MachineParameters, MachineParameters> Built { get; init; } = static machine => machine;

    /// <summary>What its people do every two minutes while it runs.</summary>
    public Action<VirtualDancer, MachineParameters, Random> EveryTwoMinutes { get; init; } =
        static (_, _, _) => { };

    /// <summary>What they do at its stops; null: they stop it for nothing but that.</summary>
    public Action<VirtualDancer, MachineParameters, Random>? AtStop { get; init; }

    /// <summary>The unwind upsets the film.</summary>
    public static IReadOnlyList<FilmPathDay> Upset { get; } =
    [
        new("roll overrun", VirtualMachine.Faults.Fault.RollOverrun) { RunSeconds = 60 },
        new("loop hunting", VirtualMachine.Faults.Fault.LoopHunting),
        new("dragging brake", VirtualMachine.Faults.Fault.BrakeDrag),
    ];

    /// <summary>It does not, whatever else the day brings.</summary>
    public static IReadOnlyList<FilmPathDay> Calm { get; } =
    [
        new("steady"),
        new("starts and stops") { RunSeconds = 60 },
        new("another product")
        {
            EveryTwoMinutes = static (dancer, machine, random) =>
                dancer.ChangeProduct(
                    random.Next(1, 9),
                    machine.BagLengthMillimeters * (0.75 + (0.25 * random.NextDouble())),
                    machine.CyclesPerMinute * (0.9 + (0.2 * random.NextDouble()))
                ),
        },
        new("another speed")
        {
            EveryTwoMinutes = static (dancer, machine, random) =>
                dancer.SetSpeed(machine.CyclesPerMinute * (0.7 + (0.4 * random.NextDouble()))),
        },
        new("splices") { EveryTwoMinutes = static (dancer, _, _) => dancer.Splice() },
        new("new rolls")
        {
            RunSeconds = 300,
            AtStop = static (dancer, machine, _) => dancer.ChangeRoll(machine.RollDiameterMillimeters),
        },
        new("dancer moved by hand")
        {
            RunSeconds = 300,
            AtStop = static (dancer, _, random) => dancer.MoveDancerByHand(random.Next(5, 100)),
        },
        new("roll out of round, harmless")
        {
            Built = static machine => machine with { EccentricityMillimeters = 3 },
        },
        new("poor reads") { LossShare = 0.02, StaleShare = 0.1 },
    ];
}
