using System.Globalization;
using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.FleetHistory.Making;

/// <summary>Something is wrong with a machine from then on, until its crew finds it.</summary>
/// <param name="Hour">Of the day.</param>
internal sealed record PlannedFault(Fault Fault, double Hour, double GrowthSeconds, double Severity);

/// <summary>One machine of the fleet, and what its day brings.</summary>
/// <param name="Built">As it stands, its controller's settings included.</param>
/// <param name="Configured">What its daemon was told of it.</param>
/// <param name="OutOfRoundMillimeters">Of its rolls, on average, by its chuck.</param>
internal sealed record PlannedMachine(
    string Site,
    string Line,
    string Name,
    int Seed,
    MachineParameters Built,
    MachineParameters Configured,
    double OutOfRoundMillimeters,
    bool WorksAtNight,
    IReadOnlyList<PlannedFault> Faults
)
{
    public const string Area = "tea-hall";
}

/// <summary>A setting that was given another value than its line's; where it stands decides who can see it.</summary>
/// <param name="Setting">As fleet history calls it.</param>
internal sealed record OddSetting(PlannedMachine Machine, string Setting, double Value);

/// <summary>
/// Sites, lines and machines of an invented cooperative, the same for the same seed: machines of a line are alike, some of them
/// have a bad chuck, some a setting that differs, some a fault that comes. Cams are straight: the questions read fill off the two
/// set points.
/// </summary>
internal sealed class FleetPlan
{
    private static readonly string[] s_sites = ["leafside", "hillside", "lakeside", "woodside"];

    /// <summary>Faults that the sensor sees as they are: what it reads is where the dancer is.</summary>
    private static readonly Fault[] s_faults =
    [
        Fault.BrakeDrag,
        Fault.DriveSaturation,
        Fault.FilmSnag,
        Fault.LoopHunting,
    ];

    public List<PlannedMachine> Machines { get; } = [];
    public List<OddSetting> Odd { get; } = [];

    /// <param name="machines">In all, eight to a line, two lines to a site.</param>
    /// <param name="hours">Length of what is told, h; faults come within it.</param>
    /// <param name="fromHour">Where in the day it begins.</param>
    public FleetPlan(int machines, double hours, double fromHour = 0, int seed = 70_001)
    {
        Random random = new(seed);
        for (int i = 0; i < machines; i++)
        {
            int line = i / 8;
            MachineParameters alike = MachineParameters.Random(seed + line) with
            {
                CamBowPercent = 0,
                EccentricityMillimeters = 0,
                // Two speeds a product must be reached by all of them.
                MaximumUnwindMetersPerMinute = 2 * MachineParameters.Random(seed + line).LineMetersPerMinute,
            };
            bool isBad = i % 11 == 5;
            double outOfRound = isBad ? 4 + (4 * random.NextDouble()) : random.NextDouble();
            (MachineParameters built, MachineParameters configured) = Taught(alike, random);
            List<PlannedFault> faults = [];
            if (i % 4 == 2)
            {
                faults.Add(
                    new PlannedFault(
                        s_faults[random.Next(s_faults.Length)],
                        fromHour + (hours * (0.27 + (0.5 * random.NextDouble()))),
                        120 + (900 * random.NextDouble()),
                        0.7 + (0.6 * random.NextDouble())
                    )
                );
            }
            PlannedMachine machine = new(
                s_sites[line / 2 % s_sites.Length],
                Text($"line-{(line % 2) + 1}"),
                Text($"tea-{(i % 16) + 1}"),
                seed + 1000 + i,
                built,
                configured,
                outOfRound,
                WorksAtNight: line / 2 % s_sites.Length == 0,
                faults
            );
            Machines.Add(i % 7 == 3 ? Odder(machine, i / 7) : machine);
        }
    }

    /// <summary>Each machine's ends are taught at the machine, and differ by a few counts.</summary>
    private static (MachineParameters Built, MachineParameters Configured) Taught(
        MachineParameters alike,
        Random random
    )
    {
        MachineParameters built = alike with
        {
            GapAtEmptyCounts = Math.Round(alike.GapAtEmptyCounts) + random.Next(-6, 7),
            GapAtFullCounts = Math.Round(alike.GapAtFullCounts) + random.Next(-6, 7),
            TargetFillPercent = Math.Round(alike.TargetFillPercent),
            OvertravelPercent = Math.Round(alike.OvertravelPercent, 1),
            TripHoldSeconds = Math.Round(alike.TripHoldSeconds, 1),
        };
        return (built, built);
    }

    private PlannedMachine Odder(PlannedMachine machine, int which)
    {
        MachineParameters built = machine.Built;
        switch (which % 3)
        {
            case 0: // Somebody turned it at the machine's panel.
                double target = built.TargetFillPercent + (which % 2 == 0 ? 8 : -8);
                machine = machine with { Built = built with { TargetFillPercent = target } };
                Odd.Add(new OddSetting(machine, "targetFill", target));
                break;
            case 1: // The daemon was told another trip than the line's machines have.
                double overtravel = Math.Round(built.OvertravelPercent * 1.5, 1);
                machine = machine with { Configured = built with { OvertravelPercent = overtravel } };
                Odd.Add(new OddSetting(machine, "dancer.overtravelPercent", overtravel));
                break;
            default: // Another hold time, in the machine and in what the daemon was told.
                double hold = Math.Round(built.TripHoldSeconds * 1.6, 1);
                machine = machine with
                {
                    Built = built with { TripHoldSeconds = hold },
                    Configured = machine.Configured with { TripHoldSeconds = hold },
                };
                Odd.Add(new OddSetting(machine, "dancer.tripHoldSeconds", hold));
                break;
        }
        return machine;
    }

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
