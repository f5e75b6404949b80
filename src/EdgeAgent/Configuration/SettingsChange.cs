namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>What two configurations have in common, for one that is to take the other's place while the daemon runs.</summary>
public static class SettingsChange
{
    /// <summary>Keys that differ and are fixed when the daemon starts: who it is, where it publishes, what it keeps.</summary>
    public static IReadOnlyList<string> NeedsRestart(AgentSettings running, AgentSettings next)
    {
        ArgumentNullException.ThrowIfNull(running);
        ArgumentNullException.ThrowIfNull(next);
        (string Key, bool Same)[] fixedKeys =
        [
            ("site", running.Site == next.Site),
            ("area", running.Area == next.Area),
            ("mqtt", running.Mqtt == next.Mqtt),
            ("sparkplug", running.Sparkplug == next.Sparkplug),
            ("stateDirectory", running.StateDirectory == next.StateDirectory),
            ("outbox", running.Outbox == next.Outbox),
            ("recordings", running.Recordings == next.Recordings),
            ("telemetry", running.Telemetry == next.Telemetry),
            ("statusPage", running.StatusPage == next.StatusPage),
        ];
        return [.. fixedKeys.Where(key => !key.Same).Select(key => key.Key)];
    }

    /// <summary>Whether a machine is watched by both in the same way. The columns of a trace play no part in it.</summary>
    public static bool IsSame(WatchedMachineSettings one, WatchedMachineSettings other)
    {
        ArgumentNullException.ThrowIfNull(one);
        ArgumentNullException.ThrowIfNull(other);
        // Lists are compared by what is in them, and the rest as the records it is made of.
        return one.Signals.SequenceEqual(other.Signals)
            && one.Machine.Fill.Cam.SequenceEqual(other.Machine.Fill.Cam)
            && WithoutLists(one) == WithoutLists(other);
    }

    private static WatchedMachineSettings WithoutLists(WatchedMachineSettings machine) =>
        machine with
        {
            Signals = [],
            Columns = s_noColumns,
            Machine = machine.Machine with { Fill = machine.Machine.Fill with { Cam = [] } },
        };

    private static readonly Dictionary<Signals.Readings.Signal, string> s_noColumns = [];
}
