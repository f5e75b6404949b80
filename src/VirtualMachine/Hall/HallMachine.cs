using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Hall;

/// <summary>A machine that stands in a hall.</summary>
/// <param name="Name">What people call it, e.g. <c>tea-1</c>.</param>
/// <param name="TagStructure">What its controller calls it, e.g. <c>Tea1</c>.</param>
/// <param name="Machine">How it is built.</param>
/// <param name="Faults">What goes wrong with it.</param>
public sealed record HallMachine(
    string Name,
    string TagStructure,
    MachineParameters Machine,
    IReadOnlyList<FaultSchedule> Faults
);

/// <summary>A machine tripped.</summary>
/// <param name="Machine">Its name.</param>
/// <param name="FullSide">True: past full; false: past empty.</param>
/// <param name="Seconds">Hall time, s.</param>
public sealed record HallTrip(string Machine, bool FullSide, double Seconds);
