using Dancerwatch.EdgeAgent;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Hosting;
using Dancerwatch.EdgeAgent.Tests.Hosting;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.Fleet.Holding;
using Dancerwatch.Fleet.Records;
using Dancerwatch.Signals.Readings;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.Fleet.Tests.Holding;

public sealed class MachineMemoryTests : IAsyncDisposable
{
    private readonly TestHall _hall = new("packing-a");
    private readonly TestStorage _storage = new();
    private readonly MonotonicClock _clock = new(TimeProvider.System);
    private long _ticks;

    public MachineMemoryTests() => _ticks = _clock.Ticks;

    public ValueTask DisposeAsync() => _hall.DisposeAsync();

    [Fact]
    public async Task The_very_first_event_is_recalled_where_it_was_told_after_a_snapshot_that_knew_of_none()
    {
        EventLog first = new();
        WatchedMachine[] machines = [Machine(first)];
        Watch(machines[0], Quality.Good);
        Assert.Empty(first.Events);
        MachineMemory memory = Memory();
        Assert.True(memory.Take(machines, known: 0));
        await memory.WriteAsync();
        Watch(machines[0], Quality.Bad);
        MachineEvent raised = Assert.Single(first.Events);

        EventLog second = new();
        WatchedMachine[] next = [Machine(second)];
        ToldEvent told = new()
        {
            Number = 1,
            Id = raised.Id,
            Source = raised.Place.Path,
            Payload = EventPayload.Of(raised, 1),
        };
        Assert.Equal(1, await Memory().RestoreAsync(next, [told]));
        Watch(next[0], Quality.Good);

        MachineEvent cleared = Assert.Single(second.Events);
        Assert.Equal(raised.OnsetMilliseconds, cleared.OnsetMilliseconds);
        Assert.Equal(1, cleared.Transition.Step);
    }

    private MachineMemory Memory() =>
        new(new FleetStorage(_storage, _storage).Memory("packing-a"), _clock, NullLogger.Instance);

    private WatchedMachine Machine(IEventSink events)
    {
        WatchedMachineSettings settings = _hall.Machine(1);
        MachinePlace place = new("leafside", "tea-hall", settings.Line, settings.Name);
        return new(settings, new MachineWatch(place, settings.Machine, _clock.ToWallClock, events));
    }

    /// <summary>Five seconds at 50 Hz, of a machine that stands.</summary>
    private void Watch(WatchedMachine machine, Quality quality)
    {
        for (int i = 0; i < 250; i++)
        {
            _ticks += TimeSpan.FromMilliseconds(20).Ticks;
            SignalValues values = SignalValues.Unknown;
            if (quality == Quality.Good)
                (values[Signal.Gap], values[Signal.UnwindSpeed]) = (2_000, 0);
            machine.Watch.Process(new Reading(_ticks, values, quality));
        }
    }

    private sealed class EventLog : IEventSink
    {
        public List<MachineEvent> Events { get; } = [];

        public void Raise(MachineEvent raised) => Events.Add(raised);
    }
}
