using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Tests.Hosting;
using Dancerwatch.EdgeAgent.Tests.Mqtt;
using Dancerwatch.Fleet.Holding;
using Dancerwatch.Fleet.Records;
using Dancerwatch.Signals;

namespace Dancerwatch.Fleet.Tests.Holding;

public sealed class HeldControllerTests : IAsyncDisposable
{
    private readonly TestHall _hall = new("packing-a");
    private readonly TestStorage _storage = new();
    private readonly CancellationTokenSource _release = new();

    [Fact]
    public async Task What_is_raised_stays_raised_at_the_next_host_and_is_cleared_by_it_with_the_same_onset()
    {
        await using Broker broker = await Broker.StartAsync();
        await using (TestHost first = await TestHost.StartAsync("host-1", Settings(broker), _storage))
        {
            (HeldController held, Task<string> holding) = first.Hold(_release.Token);
            await Eventually.IsTrueAsync(() => held.IsPolled);
            _hall.Lose(1);
            await broker.HearsAsync("raised");
            await _release.CancelAsync();
            Assert.Equal("it was asked back", await holding);
        }

        await using TestHost second = await TestHost.StartAsync("host-2", Settings(broker), _storage);
        using CancellationTokenSource release = new();
        (HeldController next, Task<string> holdingOn) = second.Hold(release.Token);
        await Eventually.IsTrueAsync(() => next.IsPolled);
        _hall.Lose(1, isLost: false);
        await broker.HearsAsync("cleared");
        await release.CancelAsync();
        await holdingOn;

        Assert.Equal(["0", "1"], broker.Ids().Distinct().Select(id => id.Split(':')[^1]));
        Assert.Single(broker.Ids().Select(id => id[..id.LastIndexOf(':')]).Distinct());
    }

    [Fact]
    public async Task A_snapshot_of_another_version_is_put_aside_and_what_was_raised_stays_raised()
    {
        await using Broker broker = await Broker.StartAsync();
        await using (TestHost older = await TestHost.StartAsync("host-1", Settings(broker), _storage))
        {
            (HeldController held, Task<string> holding) = older.Hold(_release.Token);
            await Eventually.IsTrueAsync(() => held.IsPolled);
            _hall.Lose(1);
            await broker.HearsAsync("raised");
            await _release.CancelAsync();
            await holding;
        }
        Record<MemoryRecord> memory = new FleetStorage(_storage, _storage).Memory("packing-a");
        await memory.ReadAsync();
        byte[] snapshot = Assert.Single(memory.Value.Snapshots).Value;
        snapshot[sizeof(ulong)]++; // the version, behind the mark
        await memory.WriteAsync();

        await using TestHost newer = await TestHost.StartAsync("host-2", Settings(broker), _storage);
        using CancellationTokenSource release = new();
        (HeldController next, Task<string> holdingOn) = newer.Hold(release.Token);
        await Eventually.IsTrueAsync(() => next.IsPolled);
        _hall.Lose(1, isLost: false);
        await broker.HearsAsync("cleared");
        await release.CancelAsync();
        await holdingOn;

        Assert.Equal(["0", "1"], broker.Ids().Distinct().Select(id => id.Split(':')[^1]));
        Assert.Single(broker.Ids().Select(id => id[..id.LastIndexOf(':')]).Distinct());
        await memory.ReadAsync();
        Assert.Equal(snapshot, Assert.Single(memory.Value.Aside).Value);
        Assert.NotEqual(snapshot, Assert.Single(memory.Value.Snapshots).Value);
    }

    [Fact]
    public async Task Of_controllers_that_are_taken_over_at_once_every_machine_is_told()
    {
        await using Broker broker = await Broker.StartAsync();
        await using TestHost host = await TestHost.StartAsync("host-1", Settings(broker), _storage);
        ControllerSettings controller = host.Rooms.Settings.Controllers[0];
        IReadOnlyList<WatchedMachineSettings> machines = host.Rooms.MachinesOf(controller);
        HeldController[] held =
        [
            .. Enumerable.Range(0, 200).Select(_ => new HeldController(controller, machines, host.Rooms)),
        ];

        // Two threads in step: each pair begins at the same moment.
        CancellationToken end = TestContext.Current.CancellationToken;
        int[] told = new int[held.Length];
        using Barrier both = new(2);
        void Begin(int first)
        {
            for (int i = first; i < held.Length; i += 2)
            {
                both.SignalAndWait(end);
                host.Rooms.Begin(held[i]);
                both.SignalAndWait(end);
                told[i] = host.Watches.Count;
            }
        }
        await Task.WhenAll(Task.Run(() => Begin(0), end), Task.Run(() => Begin(1), end));

        Assert.Equal(Enumerable.Range(0, held.Length).Select(i => (i / 2 + 1) * 2 * machines.Count), told);
    }

    [Fact]
    public async Task A_host_whose_lease_was_ended_polls_no_more_and_what_it_sees_is_not_told()
    {
        await using Broker broker = await Broker.StartAsync();
        await using TestHost lost = await TestHost.StartAsync("host-1", Settings(broker), _storage);
        (HeldController held, _) = lost.Hold(_release.Token);
        await Eventually.IsTrueAsync(() => held.IsPolled);
        await using TestHost next = await TestHost.StartAsync("host-2", Settings(broker), _storage);
        using CancellationTokenSource release = new();

        (HeldController taken, Task<string> holding) = next.Hold(release.Token);
        await Eventually.IsTrueAsync(() => taken.IsPolled);

        long seen = held.Machines[0].Watch.Changes;
        Assert.False(lost.Lease.HoldsFor(TimeSpan.Zero));
        _hall.Lose(1);
        await broker.HearsAsync("raised");
        await release.CancelAsync();
        await holding;
        Assert.Equal(seen, held.Machines[0].Watch.Changes);
        Assert.Equal(2, _hall.Clients);
    }

    [Fact]
    public async Task A_controller_whose_holder_is_one_of_the_fleets_is_left_to_it()
    {
        await using TestHost first = await TestHost.StartAsync("host-1", Settings(broker: null), _storage);
        (HeldController held, _) = first.Hold(_release.Token);
        await Eventually.IsTrueAsync(() => held.IsPolled);
        await using TestHost second = await TestHost.StartAsync(
            "host-2",
            Settings(broker: null),
            _storage,
            isAlive: _ => true
        );

        (HeldController refused, Task<string> holding) = second.Hold(CancellationToken.None);

        Assert.Equal("host-1 holds it", await holding);
        Assert.Equal(first.Lease.Holder, refused.HeldBy);
        Assert.True(first.Lease.HoldsFor(TimeSpan.Zero));
    }

    [Fact]
    public async Task While_the_storage_is_away_nothing_is_published_and_once_the_lease_is_over_nothing_is_polled()
    {
        await using Broker broker = await Broker.StartAsync();
        await using TestHost host = await TestHost.StartAsync("host-1", Settings(broker), _storage);
        (HeldController held, _) = host.Hold(_release.Token);
        await Eventually.IsTrueAsync(() => held.IsPolled);

        _storage.IsAway = true;
        _hall.Lose(1);
        await Eventually.IsTrueAsync(() => held.Machines[0].Watch.Changes > 0);
        await Eventually.IsTrueAsync(() => !host.Lease.HoldsFor(TimeSpan.Zero));
        long polls = _hall.Controller.Counters.Requests.Values.Sum();
        await Eventually.IsTrueAsync(() => Polls() == polls || (polls = Polls()) < 0);

        Assert.Empty(broker.Ids());
        long Polls() => _hall.Controller.Counters.Requests.Values.Sum();
    }

    [Fact]
    public async Task A_machine_that_moved_is_never_said_to_be_offline()
    {
        await using Broker broker = await Broker.StartAsync("#");
        await using TestHost first = await TestHost.StartAsync("host-1", Settings(broker), _storage);
        await using TestHost second = await TestHost.StartAsync("host-2", Settings(broker), _storage);
        const string Machine = "dancerwatch/v1/leafside/tea-hall/line-1/packing-a-1/status";
        (_, Task<string> holding) = first.Hold(_release.Token);
        await broker.HearsAsync(Machine, "dancerwatch-host-1");

        await _release.CancelAsync();
        await holding;
        using CancellationTokenSource release = new();
        (_, holding) = second.Hold(release.Token);
        await broker.HearsAsync(Machine, "dancerwatch-host-2");
        // The first host has come round twice since, and had nothing to say of it.
        int told = broker.Of("dancerwatch/v1/leafside/tea-hall/agents/dancerwatch-host-1/status").Count;
        await Eventually.IsTrueAsync(() =>
            broker.Of("dancerwatch/v1/leafside/tea-hall/agents/dancerwatch-host-1/status").Count >= told + 2
        );

        Assert.DoesNotContain(broker.Of(Machine), one => one.Contains("offline", StringComparison.Ordinal));
        await release.CancelAsync();
        await holding;
    }

    public async ValueTask DisposeAsync()
    {
        await _release.CancelAsync();
        await _hall.DisposeAsync();
        _release.Dispose();
    }

    private AgentSettings Settings(Broker? broker)
    {
        WatchedMachineSettings machine = _hall.Machine(1);
        // A computer that is busy may well keep a poll waiting for a tenth of a second.
        MachineSettings patient = machine.Machine with
        {
            Warnings = new() { DataLost = new(0, 0, 1, 0) },
        };
        return TestHall.Watching([_hall.Settings], machine with { Machine = patient }) with
        {
            Mqtt = broker is null ? null : new MqttSettings { Host = "127.0.0.1", Port = broker.Port },
        };
    }

    /// <summary>A broker and who listens there.</summary>
    private sealed class Broker : IAsyncDisposable
    {
        private readonly EmbeddedBroker _broker;
        private readonly ListeningClient _client;

        private Broker(EmbeddedBroker broker, ListeningClient client) =>
            (_broker, _client) = (broker, client);

        public int Port => _broker.Port;

        public static async Task<Broker> StartAsync(string filter = "+/v1/+/+/+/+/event")
        {
            EmbeddedBroker broker = await EmbeddedBroker.StartAsync();
            return new Broker(broker, await ListeningClient.ConnectAsync(broker.Port, filter));
        }

        public IReadOnlyList<string> Ids() =>
            [
                .. _client.Heard.Select(message =>
                    ListeningClient.JsonOf(message).GetProperty("id").GetString()!
                ),
            ];

        /// <summary>All that was heard on a topic.</summary>
        public IReadOnlyList<string> Of(string topic) =>
            [
                .. _client
                    .Heard.Where(message => message.Topic == topic)
                    .Select(message => $"{ListeningClient.JsonOf(message)}"),
            ];

        public Task HearsAsync(string topic, string word) =>
            Eventually.IsTrueAsync(() => Of(topic).Any(one => one.Contains(word, StringComparison.Ordinal)));

        public Task HearsAsync(string state) =>
            Eventually.IsTrueAsync(() =>
                _client.Heard.Any(message =>
                    ListeningClient.JsonOf(message).GetProperty("data").GetProperty("state").GetString()
                    == state
                )
            );

        public async ValueTask DisposeAsync()
        {
            await _client.DisposeAsync();
            await _broker.DisposeAsync();
        }
    }
}
