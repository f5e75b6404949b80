using System.Text;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>One message of the node, in its turn.</summary>
internal readonly record struct NodeMessage(string Topic, byte[] Payload);

/// <summary>
/// What an edge node with a device for each machine has to say, in which order and with which numbers (Sparkplug 3.0.0,
/// chapters 4 to 6). Decides; others send: each message in its turn, or none any more until the next birth. One thread.
/// </summary>
/// <param name="aliases">Null: metrics are called by their names.</param>
/// <param name="counters">What became of commands is told, too.</param>
internal sealed class EdgeNode(
    SparkplugTopics topics,
    AliasBook? aliases,
    NodeCounters counters,
    MonotonicClock clock
)
{
    /// <summary>A device dies when nothing good has been read of its machine for so long: a missed poll or two is no death.</summary>
    public static readonly TimeSpan Absence = TimeSpan.FromSeconds(5);

    private const string ConnectionNumber = "bdSeq";
    private const int Numbers = 256;

    private static readonly string s_version =
        typeof(EdgeNode).Assembly.GetName().Version?.ToString(fieldCount: 3) ?? "";

    private readonly Dictionary<string, Device> _devices = [];
    private readonly ToldMetrics _told = new(device: "", aliases);

    // What happened last, for the next birth.
    private readonly Dictionary<string, MetricValue> _happened = EventMetrics.None.ToDictionary(
        metric => metric.Name,
        metric => metric.Value
    );
    private long _bornTicks;
    private int _next;

    /// <summary>Name of the metric that a host sets to true to hear all births again.</summary>
    public static string Rebirth { get; } = Encoding.UTF8.GetString(CommandReader.Rebirth);

    /// <summary>What is said, by us or by the broker, when the node is there no more.</summary>
    /// <param name="connection">Number of the connection, 0 to 255: each has the next.</param>
    public NodeMessage Death(int connection)
    {
        long now = Now();
        Metric number = new(MetricValue.Of(connection), now) { Name = ConnectionNumber, IsDeclared = true };
        return new NodeMessage(topics.NodeDeath, PayloadWriter.Write(now, sequence: null, [number]));
    }

    /// <summary>The births: of the node, then of each device whose machine is read.</summary>
    /// <param name="connection">Number of the connection, as in its <see cref="Death"/>.</param>
    public List<NodeMessage> Birth(int connection, IReadOnlyList<MachineState> states)
    {
        _bornTicks = clock.Ticks;
        _next = 0;
        NamedValue[] metrics =
        [
            new(ConnectionNumber, MetricValue.Of(connection)),
            new(Rebirth, MetricValue.Of(false)),
            new("version", MetricValue.Of(s_version)),
            .. Commands(),
            .. _happened.Select(metric => new NamedValue(metric.Key, metric.Value)),
        ];
        List<NodeMessage> births = [Message(topics.NodeBirth, _told.Birth(metrics, Stamp(_bornTicks)))];
        foreach (Device device in _devices.Values)
            device.IsBorn = false;
        births.AddRange(DevicesNow(states));
        return births;
    }

    /// <summary>What has changed since: devices that came or went, and metrics.</summary>
    public List<NodeMessage> Changes(IReadOnlyList<MachineState> states)
    {
        List<NodeMessage> changes = DevicesNow(states);
        if (_told.Changes(Commands(), Now()) is { Count: > 0 } commands)
            changes.Add(Message(topics.NodeData, commands));
        return changes;
    }

    /// <summary>What the outbox has to send; nothing where it is nothing of ours.</summary>
    public List<NodeMessage> Tell(OutboxEntry entry)
    {
        if (EventMetrics.Of(entry) is not { } told)
            return [];
        // Of another run, or before the births, which told what had become of it.
        bool isPast = entry.Lost.IsEmpty && (entry.ReadingTicks is not { } ticks || ticks < _bornTicks);
        if (!isPast)
        {
            foreach ((string name, MetricValue value) in told.Node)
                _happened[name] = value;
            return [Message(topics.NodeData, _told.Whole(told.Node, told.Milliseconds))];
        }
        List<NodeMessage> past = [Message(topics.NodeData, _told.Past(told.Node, told.Milliseconds))];
        if (told.Machine is { } machine && _devices.TryGetValue(machine, out Device? device) && device.IsBorn)
            past.Add(
                Message(topics.DeviceData(machine), device.Told.Past(told.Condition, told.Milliseconds))
            );
        return past;
    }

    private List<NodeMessage> DevicesNow(IReadOnlyList<MachineState> states)
    {
        long now = clock.Ticks;
        List<NodeMessage> messages = [];
        foreach (MachineState state in states)
        {
            string machine = state.Place.Machine;
            if (!_devices.TryGetValue(machine, out Device? device))
            {
                if (state.Quality == Quality.Bad)
                    continue;
                _devices.Add(machine, device = new Device(new ToldMetrics(machine, aliases)));
            }
            if (state.Quality != Quality.Bad)
                device.ReadTicks = now;
            // One that is about to die for want of readings is not born for that.
            if (now - device.ReadTicks > Absence.Ticks)
                continue;
            IReadOnlyList<NamedValue> metrics = StateMetrics.Of(state);
            if (!device.IsBorn)
                messages.Add(
                    Message(topics.DeviceBirth(machine), device.Told.Birth(metrics, state.Milliseconds))
                );
            else if (device.Told.Changes(metrics, state.Milliseconds) is { Count: > 0 } changes)
                messages.Add(Message(topics.DeviceData(machine), changes));
            device.IsBorn = true;
        }
        foreach ((string machine, Device device) in _devices)
        {
            if (now - device.ReadTicks <= Absence.Ticks)
                continue;
            if (device.IsBorn)
                messages.Add(Message(topics.DeviceDeath(machine), []));
            _devices.Remove(machine);
        }
        return messages;
    }

    private IEnumerable<NamedValue> Commands() =>
        [
            new("commands/refused", MetricValue.Of(counters.RebirthsRefused)),
            new("commands/ignored", MetricValue.Of(counters.CommandsIgnored)),
        ];

    private NodeMessage Message(string topic, IEnumerable<Metric> metrics)
    {
        NodeMessage message = new(topic, PayloadWriter.Write(Now(), _next, metrics));
        _next = (_next + 1) % Numbers;
        return message;
    }

    private long Now() => Stamp(clock.Ticks);

    // By the clock that stamps readings and events, so that none is older than a birth it came after.
    private long Stamp(long ticks) => clock.ToWallClock(ticks).ToUnixTimeMilliseconds();

    private sealed class Device(ToldMetrics told)
    {
        public ToldMetrics Told { get; } = told;
        public bool IsBorn { get; set; }

        /// <summary>When its machine was last seen read well, monotonic ticks of 100 ns.</summary>
        public long ReadTicks { get; set; }
    }
}
