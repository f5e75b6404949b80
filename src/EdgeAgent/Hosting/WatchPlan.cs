using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EdgeAgent.Hosting;

/// <summary>
/// What becomes of controllers and machines when a configuration takes the place of another. Made in full, new watches
/// included, before anything is touched; what is the same in both is not touched at all.
/// </summary>
internal sealed class WatchPlan
{
    private WatchPlan() { }

    /// <summary>Controllers as they are to be, in the order of the configuration.</summary>
    public required IReadOnlyList<WatchedController> Controllers { get; init; }

    /// <summary>Those of them that are new, or take the place of one whose settings are others.</summary>
    public required IReadOnlyList<WatchedController> Begun { get; init; }

    /// <summary>Those that go on at their pace, with other machines or other settings of machines.</summary>
    public required IReadOnlyList<(WatchedController, IReadOnlyList<WatchedMachine>)> Changed { get; init; }

    /// <summary>Names of those of <see cref="Changed"/> whose tags are others: they are read over a new connection.</summary>
    public required IReadOnlyList<string> Reconnected { get; init; }

    /// <summary>Those that end.</summary>
    public required IReadOnlyList<WatchedController> Ended { get; init; }

    /// <summary>Machines as they are to be.</summary>
    public required IReadOnlyList<WatchedMachine> Machines { get; init; }

    /// <summary>Machines whose watch ends, for good or for one with other settings.</summary>
    public required IReadOnlyList<WatchedMachine> MachinesEnded { get; init; }

    /// <summary>Controllers of the configuration that no machine names.</summary>
    public required IReadOnlyList<string> Unused { get; init; }

    /// <param name="now">What runs.</param>
    /// <param name="next">What is to run.</param>
    /// <exception cref="ArgumentException">A watch or a driver cannot use its settings.</exception>
    public static WatchPlan Of(
        IReadOnlyList<WatchedController> now,
        AgentSettings next,
        Func<WatchedMachineSettings, WatchedMachine> watch,
        Func<ControllerSettings, IReadOnlyList<WatchedMachine>, WatchedController> control
    )
    {
        List<WatchedMachine> running = [.. now.SelectMany(controller => controller.Machines)];
        List<WatchedMachine> machines =
        [
            .. next.Machines.Select(machine =>
                running.Find(one => SettingsChange.IsSame(one.Settings, machine)) ?? watch(machine)
            ),
        ];
        List<WatchedController> controllers = [];
        List<WatchedController> begun = [];
        List<(WatchedController, IReadOnlyList<WatchedMachine>)> changed = [];
        List<string> unused = [];
        foreach (ControllerSettings settings in next.Controllers)
        {
            List<WatchedMachine> its =
            [
                .. machines.Where(machine => machine.Settings.Controller == settings.Name),
            ];
            WatchedController? one = now.FirstOrDefault(one => one.Settings.Name == settings.Name);
            if (its.Count == 0)
            {
                unused.Add(settings.Name);
                continue;
            }
            if (one is null || one.Settings != settings)
                begun.Add(one = control(settings, its));
            else if (!one.Machines.SequenceEqual(its))
                changed.Add((one, its));
            controllers.Add(one);
        }
        return new WatchPlan
        {
            Controllers = controllers,
            Begun = begun,
            Changed = changed,
            Reconnected =
            [
                .. changed
                    .Where(pair => !pair.Item1.ReadsTagsOf(pair.Item2))
                    .Select(pair => pair.Item1.Settings.Name),
            ],
            Ended = [.. now.Except(controllers)],
            Machines = machines,
            MachinesEnded = [.. running.Except(machines)],
            Unused = unused,
        };
    }

    /// <summary>One line: what is new, what is changed, what is gone.</summary>
    public string Describe()
    {
        HashSet<string> ended = [.. MachinesEnded.Select(machine => machine.Settings.Name)];
        HashSet<string> there = [.. Machines.Select(machine => machine.Settings.Name)];
        HashSet<string> endedControllers = [.. Ended.Select(controller => controller.Settings.Name)];
        string[] parts =
        [
            Part("machines changed", ended.Intersect(there)),
            Part("machines removed", ended.Except(there)),
            Part(
                "controllers connected anew",
                Begun.Select(one => one.Settings.Name).Intersect(endedControllers).Concat(Reconnected)
            ),
            Part("controllers added", Begun.Select(one => one.Settings.Name).Except(endedControllers)),
            Part("controllers removed", endedControllers.Except(Begun.Select(one => one.Settings.Name))),
        ];
        string line = string.Join("; ", parts.Where(part => part.Length > 0));
        return line.Length > 0 ? line : "nothing";
    }

    private static string Part(string what, IEnumerable<string> names) =>
        names.Any() ? $"{what}: {string.Join(", ", names)}" : "";
}
