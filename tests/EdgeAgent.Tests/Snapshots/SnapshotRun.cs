using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Snapshots;
using Dancerwatch.EdgeAgent.Tests.Outbox.Disk;
using Dancerwatch.EdgeAgent.Tests.Watching;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Warnings;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Snapshots;

/// <summary>One run after the other of a daemon with a few machines, over one folder and one clock.</summary>
internal sealed class SnapshotRun : IEventSink
{
    private readonly FakeTimeProvider _time;
    private readonly MonotonicClock _clock;
    private readonly EventOutbox? _outbox;

    public SnapshotRun(
        FragileFolder folder,
        FakeTimeProvider time,
        WatchedMachineSettings? machine = null,
        int machines = 1,
        EventOutbox? outbox = null
    )
    {
        _time = time;
        _outbox = outbox;
        _clock = new MonotonicClock(time);
        Snapshots = new MachineSnapshots(new SnapshotFolder(folder), outbox, _clock, Log);
        for (int i = 1; i <= machines; i++)
        {
            Watches.Add(Watch($"tea-{i}"));
        }
        Snapshots.Begin([.. Watches.Select(watch => (watch, machine ?? Tea1))]);
    }

    public static WatchedMachineSettings Tea1 { get; } =
        new()
        {
            Name = "tea-1",
            Line = "line-1",
            Controller = "packing-a",
            Signals = [new SignalSource(Signal.Gap, new TagRequest("Tea1.Gap", TagType.Real))],
            Machine = Machines.Settings,
        };

    public static string FileName { get; } = SnapshotFolder.NameOf(Machines.Tea1);

    public RecordingLogger<MachineSnapshots> Log { get; } = new();
    public MachineSnapshots Snapshots { get; }
    public List<MachineWatch> Watches { get; } = [];
    public List<MachineEvent> Raised { get; } = [];

    /// <summary>A watch that nobody follows yet.</summary>
    public MachineWatch Watch(string machine) =>
        new(PlaceOf(machine), Machines.Settings, _clock.ToWallClock, this);

    public static MachinePlace PlaceOf(string machine) => new("leafside", "tea-hall", "line-1", machine);

    void IEventSink.Raise(MachineEvent raised)
    {
        Raised.Add(raised);
        _outbox?.Raise(raised);
    }

    /// <summary>All machines are read every 20 ms, well or not.</summary>
    public void Read(double seconds, bool good = true)
    {
        SignalValues values = SignalValues.Unknown;
        values[Signal.UnwindSpeed] = 18;
        for (int left = (int)(seconds / 0.02); left > 0; left--)
        {
            _time.Advance(TimeSpan.FromMilliseconds(20));
            long ticks = _clock.Ticks;
            // A little movement: a sensor that stands quite still is suspect.
            values[Signal.Gap] = 2_050 + (left % 50 < 25 ? 4 : -4);
            foreach (MachineWatch watch in Watches)
                watch.Process(good ? new Reading(ticks, values, Quality.Good) : Reading.Failed(ticks));
        }
    }

    /// <summary>Readings in the window of eight hours of the first machine.</summary>
    public int EightHours => Watches[0].State()!.EightHours.Count;

    public ConditionState[] Of(Condition condition) =>
        [.. Raised.Where(e => e.Transition.Condition == condition).Select(e => e.Transition.State)];
}
