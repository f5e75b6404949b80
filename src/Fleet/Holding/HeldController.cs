using System.Collections.Concurrent;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Hosting;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.Fleet.Records;
using Microsoft.Extensions.Logging;
using Orleans.Storage;

namespace Dancerwatch.Fleet.Holding;

/// <summary>
/// One controller while this host reads it: taken over once its last holder cannot poll any more, its machines restored, polled
/// while the lease is fresh, given back in order. What its machines raise is written down for all hosts first, then goes the
/// daemon's way out.
/// </summary>
internal sealed class HeldController : IEventSink, IDisposable
{
    private static readonly TimeSpan s_pollsEnd = TimeSpan.FromSeconds(2);
    private static readonly TimeSpan s_look = TimeSpan.FromSeconds(1);
    private static readonly TimeSpan s_retry = TimeSpan.FromMilliseconds(500);

    /// <summary>What the broker has taken is written down so much later at most.</summary>
    private static readonly TimeSpan s_deliveries = TimeSpan.FromSeconds(1);

    private readonly ControllerSettings _settings;
    private readonly HostRooms _rooms;
    private readonly ToldBook _book;
    private readonly MachineMemory _memory;
    private readonly ILogger _logger;
    private readonly ConcurrentQueue<MachineEvent> _raised = [];
    private readonly ConcurrentQueue<string> _delivered = [];
    private readonly WakeUp _work = new();
    private long _deliveredAt;
    private long _savedAt;
    private long _savedChanges;
    private bool _isInTrouble;

    public HeldController(
        ControllerSettings settings,
        IReadOnlyList<WatchedMachineSettings> machines,
        HostRooms rooms
    )
    {
        _settings = settings;
        _rooms = rooms;
        _logger = rooms.Logger;
        _book = new ToldBook(rooms.Storage.Watch(settings.Name), rooms.Lease.Holder);
        _memory = new MachineMemory(rooms.Storage.Memory(settings.Name), rooms.Clock, _logger);
        Machines = [.. machines.Select(machine => new WatchedMachine(machine, rooms.Watch(machine, this)))];
    }

    public IReadOnlyList<WatchedMachine> Machines { get; }

    /// <summary>Whether it is polled by this host.</summary>
    public bool IsPolled { get; private set; }

    /// <summary>Who holds it, where that is another host that is one of the fleet's.</summary>
    public Holder? HeldBy { get; private set; }

    /// <summary>Takes the controller over and reads it until <paramref name="release"/>; then gives it back.</summary>
    /// <returns>Why it is read no longer.</returns>
    public async Task<string> HoldAsync(CancellationToken release)
    {
        long asked = _rooms.Clock.Ticks;
        try
        {
            await _rooms.Lease.Taken.WaitAsync(release);
            using IDisposable turn = await _rooms.TurnAsync(_settings.Name, release);
            if (await ClaimAsync(release) is { } other)
            {
                HeldBy = other;
                return $"{other.Host} holds it";
            }
            return await HoldClaimedAsync(asked, release) ? "it was asked back" : "another host holds it";
        }
        catch (OperationCanceledException) when (release.IsCancellationRequested)
        {
            return "it was not needed here any more";
        }
    }

    /// <returns>False where another host holds it.</returns>
    private async Task<bool> HoldClaimedAsync(long asked, CancellationToken release)
    {
        int restored = await _memory.RestoreAsync(Machines, _book.Told);
        RaiseAgain();
        WatchedController controller = _rooms.Control(_settings, Machines);
        _rooms.Begin(this);
        controller.Start(_rooms.Died);
        IsPolled = true;
        _savedAt = _deliveredAt = _rooms.Clock.Ticks;
        double waited = TimeSpan.FromTicks(_rooms.Clock.Ticks - asked).TotalSeconds;
        _logger.ControllerHeld(_settings.Name, waited, restored, Machines.Count);
        bool isHeld = await KeepAsync(release);
        IsPolled = false;
        bool isStopped = await controller.StopAsync(s_pollsEnd);
        await controller.DisposeAsync();
        _rooms.End(this);
        if (isStopped)
            return isHeld && await GiveBackAsync();
        // Given back, it could be polled by two: the host ends, and its lease with it.
        _rooms.Died($"The poll loop of controller {_settings.Name}", null);
        return isHeld;
    }

    /// <summary>On the poll loop: waits until it is written down for all hosts, and goes out then.</summary>
    public void Raise(MachineEvent raised)
    {
        _raised.Enqueue(raised);
        _work.Set();
    }

    /// <summary>The broker has an event.</summary>
    public void NoteDelivered(string id) => _delivered.Enqueue(id);

    public void Dispose() => _work.Dispose();

    /// <returns>Who holds it instead; null where it is ours.</returns>
    private async Task<Holder?> ClaimAsync(CancellationToken release)
    {
        while (true)
        {
            release.ThrowIfCancellationRequested();
            await _book.ReadAsync();
            if (_book.Holder is { } before && before != _rooms.Lease.Holder)
            {
                if (_rooms.IsAlive(before))
                    return before;
                long free = await _rooms.Others.EndAsync(before, _rooms.Lease.Length);
                long wait = free - _rooms.Clock.Ticks;
                if (wait > 0)
                    await Task.Delay(TimeSpan.FromTicks(wait), _rooms.Clock.Time, release);
            }
            try
            {
                await _book.ClaimAsync();
                return null;
            }
            catch (InconsistentStateException)
            {
                // Somebody wrote meanwhile: the last holder at its end, or another who claims it.
            }
        }
    }

    private void RaiseAgain()
    {
        int count = 0;
        foreach (ToldEvent told in _book.Told.Where(one => !one.IsDelivered))
        {
            if (
                Machines.FirstOrDefault(one => one.Watch.Place.Path == told.Source) is { } machine
                && ToldChange.TryRead(told.Payload, _ => 0, out ToldChange? change)
            )
            {
                _rooms.RaiseAgain(
                    new MachineEvent(
                        machine.Watch.Place,
                        change.OnsetMilliseconds,
                        change.Milliseconds,
                        change.Transition
                    )
                );
                count++;
            }
        }
        if (count > 0)
            _logger.RaisedAgain(count, _settings.Name);
    }

    /// <returns>False where another holds it.</returns>
    private async Task<bool> KeepAsync(CancellationToken release)
    {
        while (!release.IsCancellationRequested)
        {
            await _work.WaitAsync(s_look, release).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
            try
            {
                if (!await WriteToldAsync() || !await SaveDueAsync())
                    return false;
                _isInTrouble = false;
            }
#pragma warning disable CA1031 // Whatever ails the storage: the lease says how long that may last.
            catch (Exception failure)
#pragma warning restore CA1031
            {
                string trouble = failure.GetBaseException().Message;
                if (!_isInTrouble)
                    _logger.NotWritten(_settings.Name, trouble);
                _isInTrouble = true;
                await Task.Delay(s_retry, _rooms.Clock.Time, release)
                    .ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
            }
        }
        return true;
    }

    private async Task<bool> WriteToldAsync()
    {
        bool isDue = TimeSpan.FromTicks(_rooms.Clock.Ticks - _deliveredAt) >= s_deliveries;
        if (_raised.IsEmpty && !(isDue && !_delivered.IsEmpty))
            return true;
        List<MachineEvent> raised = [.. _raised];
        HashSet<string> delivered = [.. _delivered];
        int ids = delivered.Count;
        if (await _book.WriteAsync(raised, delivered) is not { } forgotten)
            return false;
        if (forgotten > 0)
            _logger.OldestForgotten(forgotten, _settings.Name);
        _deliveredAt = _rooms.Clock.Ticks;
        foreach (MachineEvent one in raised)
        {
            _raised.TryDequeue(out _);
            _rooms.Events.Raise(one);
        }
        while (ids-- > 0)
            _delivered.TryDequeue(out _);
        return true;
    }

    private Task<bool> SaveDueAsync()
    {
        TimeSpan since = TimeSpan.FromTicks(_rooms.Clock.Ticks - _savedAt);
        bool hasChanged = Changes() != _savedChanges;
        return since >= _rooms.SaveInterval || (hasChanged && since >= _rooms.SaveInterval / 2)
            ? SaveAsync()
            : Task.FromResult(true);
    }

    private async Task<bool> SaveAsync()
    {
        long changes = Changes();
        bool isNew = _memory.Take(Machines, _book.LastNumber);
        // What was raised meanwhile may be in the memory: it is written down before it.
        if (!await WriteToldAsync())
            return false;
        if (isNew)
            await _memory.WriteAsync();
        _savedAt = _rooms.Clock.Ticks;
        _savedChanges = changes;
        return true;
    }

    private async Task<bool> GiveBackAsync()
    {
        try
        {
            if (!await SaveAsync())
                return false;
            await _book.WriteAsync([], new HashSet<string>(_delivered), giveBack: true);
            return true;
        }
#pragma warning disable CA1031 // It runs out with the lease, then.
        catch (Exception failure)
#pragma warning restore CA1031
        {
            string trouble = failure.GetBaseException().Message;
            _logger.NotWritten(_settings.Name, trouble);
            return true;
        }
    }

    private long Changes() => Machines.Sum(machine => machine.Watch.Changes);
}
