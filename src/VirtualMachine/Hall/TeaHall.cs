using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Hall;

/// <summary>
/// The tea-packing hall of an invented cooperative: four machines, one of them healthy, three on which something goes wrong
/// within the first minutes. The same four stand in <c>config/tea-hall.jsonc</c>.
/// </summary>
public static class TeaHall
{
    private static readonly MachineParameters s_bags = new()
    {
        RollDiameterMillimeters = 360,
        CyclesPerMinute = 60,
        BagLengthMillimeters = 220,
        StorageMillimeters = 1500,
        EccentricityMillimeters = 0.5,
        MaximumUnwindMetersPerMinute = 26,
    };

    public static IReadOnlyList<HallMachine> Machines =>
        [
            new("tea-1", "Tea1", s_bags, []),
            new("tea-2", "Tea2", s_bags, [new FaultSchedule(Fault.BrakeDrag, 40, 100, 0.8)]),
            new(
                "tea-3",
                "Tea3",
                s_bags with
                {
                    CyclesPerMinute = 75,
                },
                [new FaultSchedule(Fault.LoopHunting, 15, 80, 1.5)]
            ),
            new(
                "tea-4",
                "Tea4",
                s_bags with
                {
                    BagLengthMillimeters = 180,
                },
                [new FaultSchedule(Fault.FilmSnag, 75, 25)]
            ),
        ];
}
