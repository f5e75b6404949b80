using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;

namespace Dancerwatch.EdgeAgent.Watching;

/// <summary>Which tags of a controller must be read for its machines.</summary>
public static class TagPlan
{
    /// <summary>Each tag once, however many signals and machines use it, in the order they first ask for it.</summary>
    public static IReadOnlyList<TagRequest> Of(IEnumerable<WatchedMachineSettings> machines) =>
        [.. machines.SelectMany(machine => machine.Signals).Select(source => source.Tag).Distinct()];
}
