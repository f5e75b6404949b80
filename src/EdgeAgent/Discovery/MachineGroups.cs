using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Discovery;

/// <summary>Candidates that belong together by their names.</summary>
/// <param name="Key">The words they have in common.</param>
internal sealed record MachineGroup(string Key, IReadOnlyList<Candidate> Candidates);

/// <summary>Which candidates belong to a machine: those of one key, where a gap and an unwind speed are among them. Only these are worth reading.</summary>
internal sealed class MachineGroups
{
    /// <summary>More than a controller has; the values of more could not be read in a moment.</summary>
    private const int MostMachines = 128;

    public static readonly IReadOnlyList<Signal> Required = [Signal.Gap, Signal.UnwindSpeed];

    public MachineGroups(IReadOnlyList<Candidate> candidates)
    {
        MachineGroup[] groups =
        [
            .. candidates
                .GroupBy(candidate => candidate.Key)
                .Select(group => new MachineGroup(group.Key, [.. group])),
        ];
        MachineGroup[] machines = [.. groups.Where(IsMachine)];
        Machines = machines is [{ Key.Length: > 0 } only]
            // What names no machine belongs to the only one there is.
            ?
            [
                only with
                {
                    Candidates = [.. only.Candidates, .. candidates.Where(one => one.Key.Length == 0)],
                },
            ]
            : [.. machines.Take(MostMachines)];
        Homeless = [.. groups.Except(machines).Where(group => machines.Length != 1 || group.Key.Length > 0)];
        Beyond = machines.Length - Machines.Count;
    }

    public IReadOnlyList<MachineGroup> Machines { get; }

    /// <summary>What goes with no machine.</summary>
    public IReadOnlyList<MachineGroup> Homeless { get; }

    /// <summary>Machines that are left out because there are too many.</summary>
    public int Beyond { get; }

    private static bool IsMachine(MachineGroup group) =>
        Required.All(signal => group.Candidates.Any(candidate => candidate.Signal == signal));
}
