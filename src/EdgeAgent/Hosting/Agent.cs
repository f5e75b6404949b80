using System.Globalization;
using System.Net;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.EdgeAgent.Outbox.Disk;
using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.EdgeAgent.Snapshots;
using Dancerwatch.EdgeAgent.StatusPage;
using Dancerwatch.EdgeAgent.Telemetry;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Hosting;

/// <summary>
/// The whole daemon for one configuration: a poll loop for each controller, a watch for each machine, one outbox, one
/// publisher. A controller or broker that is away costs what comes from it and nothing else.
/// </summary>
public sealed class Agent : IAsyncDisposable
{
    /// <summary>Poll loops may end for so long; one that hangs is left behind.</summary>
    private static readonly TimeSpan s_pollsEnd = TimeSpan.FromSeconds(2);

    /// <summary>After the last poll, events that wait may go out to a broker that is there.</summary>
    private static readonly TimeSpan s_lastEvents = TimeSpan.FromSeconds(2);

    /// <summary>The goodbye to the broker may take so long.</summary>
    private static readonly TimeSpan s_goodbye = TimeSpan.FromSeconds(3);

    private static readonly TimeSpan s_lastWrite = TimeSpan.FromSeconds(1);

    /// <summary>Journals of the recording may be made into files for so long; the next start does the rest.</summary>
    private static readonly TimeSpan s_lastFiles = TimeSpan.FromSeconds(3);

    private static readonly TimeSpan s_look = TimeSpan.FromMilliseconds(10);

    private readonly MonotonicClock _clock;
    private readonly ILoggerFactory _loggers;
    private readonly ReaderFactory? _readers;
    private readonly ILogger<Agent> _logger;
    private readonly AgentTelemetry _telemetry;
    private readonly IReadOnlyList<Outlet> _outlets;
    private readonly TraceRecorder? _trace;
    private readonly Recorder? _recorder;
    private readonly MachineSnapshots? _snapshots;
    private readonly PageServer? _page;
    private readonly AnnouncedEvents _events;
    private readonly TaskCompletionSource<PartDiedException> _died = new(
        TaskCreationOptions.RunContinuationsAsynchronously
    );
    private AgentSettings _settings;
    private volatile IReadOnlyList<WatchedController> _controllers;
    private volatile IReadOnlyList<MachineWatch> _watches;

    // Starting, reloading and stopping take turns.
    private readonly SemaphoreSlim _turn = new(initialCount: 1);
    private bool _runs;
    private bool _isOver;

    /// <param name="recordDirectory">Directory for a recording of every reading; null for none. Made where it is not there.</param>
    /// <param name="readers">Makes what reads the controllers; the drivers where null.</param>
    /// <exception cref="IOException">The recording cannot be made, or the state directory cannot be used.</exception>
    public Agent(
        AgentSettings settings,
        TimeProvider time,
        ILoggerFactory loggers,
        string? recordDirectory = null,
        ReaderFactory? readers = null
    )
    {
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(time);
        _settings = settings;
        _readers = readers;
        _clock = new MonotonicClock(time);
        _loggers = loggers;
        _logger = loggers.CreateLogger<Agent>();
        _telemetry = new AgentTelemetry(_clock);
        if (recordDirectory is not null)
            _trace = Trace(recordDirectory, settings.Machines, _clock);
        if (settings.Recordings.Place(settings.StateDirectory) is { } recordings)
        {
            _recorder = new Recorder(
                recordings,
                settings.Recordings,
                _clock,
                loggers.CreateLogger<Recorder>()
            )
            {
                FilesMade = SpareMemory.GiveBack,
            };
            _telemetry.Meter.Watch(_recorder);
        }
        else if (settings.Recordings.Enabled)
            _logger.NowhereToRecord();
        _outlets =
        [
            .. new[]
            {
                Outlet.Json(settings, () => _watches!, _telemetry, _clock, loggers),
                Outlet.Sparkplug(settings, () => _watches!, _telemetry, _clock, loggers),
            }.OfType<Outlet>(),
        ];
        if (_outlets.Count > 0 && settings.StateDirectory is null)
            _logger.NothingSurvives();
        if (settings.StateDirectory is { } directory)
        {
            SnapshotFolder folder = new(StateFolder.Open(directory, "snapshots"));
            _snapshots = new MachineSnapshots(
                folder,
                _outlets is [{ } first, ..] ? first.Outbox : null,
                _clock,
                loggers.CreateLogger<MachineSnapshots>()
            );
            _telemetry.Meter.Watch(_snapshots);
        }
        _page = PageServer.Open(
            settings.StatusPage,
            () => _watches!,
            _clock,
            loggers.CreateLogger<PageServer>()
        );
        _events = new AnnouncedEvents(_outlets, _recorder, _logger);
        WatchPlan plan = PlanFor([], settings);
        _controllers = plan.Controllers;
        _watches = [.. plan.Machines.Select(machine => machine.Watch)];
        _snapshots?.Begin(Places(plan));
        foreach (string unused in plan.Unused)
            _logger.ControllerWithoutMachines(unused);
    }

    /// <summary>The machines that are watched.</summary>
    public IReadOnlyList<MachineWatch> Watches => _watches;

    /// <summary>Where the status page is served; null where it is not.</summary>
    internal IPEndPoint? PageEndPoint => _page?.EndPoint;

    /// <summary>Whether every controller has been polled, well or not.</summary>
    public bool HasComeRound => _controllers.All(controller => controller.HasComeRound);

    /// <summary>Name of a loop that hangs; null while none does.</summary>
    public string? StuckLoop() =>
        _controllers.FirstOrDefault(controller => controller.IsStuck) is { } stuck
            ? $"The poll loop of controller {stuck.Settings.Name}"
            : null;

    /// <summary>How it goes, in one line.</summary>
    public string Summary()
    {
        string[] away =
        [
            .. _controllers
                .Where(controller => !controller.Reads)
                .Select(controller => controller.Settings.Name),
        ];
        string controllers = away.Length switch
        {
            0 => "all controllers read",
            <= 3 => $"not read: {string.Join(", ", away)}",
            _ => $"{away.Length} of {_controllers.Count} controllers not read",
        };
        string broker =
            _outlets.Count == 0 ? "nothing is published"
            : _outlets.All(outlet => outlet.IsConnected()) ? "broker connected"
            : "broker away";
        return $"Machines: {_watches.Count}; {controllers}; {broker}";
    }

    /// <summary>Watches until <paramref name="cancellation"/>, then says goodbye to the broker and returns.</summary>
    /// <remarks>Within about 8 s, whatever hangs.</remarks>
    /// <exception cref="PartDiedException">A part has ended for good: a fault of the program, which must be started anew.</exception>
    public async Task RunAsync(CancellationToken cancellation)
    {
        _logger.Watching(
            _watches.Count,
            _controllers.Count,
            _outlets.Count == 0 ? "nothing is published" : "publishing"
        );
        using CancellationTokenSource publish = new();
        using CancellationTokenSource keep = new();
        Task[] publishing =
        [
            .. _outlets.Select(outlet => Run(outlet.Name, outlet.PublishAsync, publish.Token)),
        ];
        Task[] keeping = [.. _outlets.Select(outlet => Run("An outbox", outlet.Outbox.RunAsync, keep.Token))];
        Task saving = Run("The snapshots", _snapshots is null ? null : _snapshots.RunAsync, keep.Token);
        Task page = Run("The status page", _page is null ? null : _page.RunAsync, keep.Token);
        Task recording = Run("The recorder", _recorder is null ? null : _recorder.RunAsync, keep.Token);
        await _turn.WaitAsync(CancellationToken.None);
        _runs = true;
        foreach (WatchedController controller in _controllers)
            controller.Start(Died);
        _turn.Release();

        // No loop ends by itself. Where one does, it failed, and the others must not make believe that all is watched.
        await ((Task)_died.Task)
            .WaitAsync(cancellation)
            .ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        await _turn.WaitAsync(CancellationToken.None);
        _isOver = true;
        await StopPollingAsync(_controllers);
        _turn.Release();
        await Task.WhenAll(_outlets.Zip(publishing, SendLastEventsAsync));
        await publish.CancelAsync();
        await Task.WhenAll(
            _outlets.Zip(publishing, (outlet, loop) => EndedAsync(outlet.Name, loop, s_goodbye))
        );
        await keep.CancelAsync();
        await Task.WhenAll(keeping.Select(loop => EndedAsync("An outbox", loop, s_lastWrite)));
        await EndedAsync("The snapshots", saving, s_lastWrite);
        await EndedAsync("The recorder", recording, s_lastWrite);
        await EndedAsync("The status page", page, s_lastWrite);
        _logger.Stopped();
        if (_died.Task.IsCompleted)
            throw await _died.Task;
    }

    /// <summary>
    /// Puts another configuration in force: what is the same in both goes on as it is, connections, windows and raised
    /// conditions included. Once the daemon is about to end, nothing happens.
    /// </summary>
    /// <returns>Why it cannot be used, each with what to try; nothing was then done. Empty: it is in force.</returns>
    public async Task<IReadOnlyList<string>> ReloadAsync(AgentSettings next)
    {
        ArgumentNullException.ThrowIfNull(next);
        await _turn.WaitAsync();
        try
        {
            return _isOver ? [] : await ReplaceAsync(next);
        }
        finally
        {
            _turn.Release();
        }
    }

    public async ValueTask DisposeAsync()
    {
        // To disk first: whatever else takes long, what was raised is kept.
        foreach (Outlet outlet in _outlets)
            await outlet.DisposeAsync();
        // After it: a snapshot knows of nothing that is not on disk.
        if (_snapshots is not null)
            await EndedAsync("The snapshots", Task.Run(_snapshots.SaveAll), s_lastWrite);
        await CloseAsync(_controllers);
        if (_recorder is not null)
            await EndedAsync("The recorder", _recorder.DisposeAsync().AsTask(), s_lastFiles);
        if (_trace is not null)
        {
            await _trace.DisposeAsync();
            _logger.Recorded(_trace.Recorded, _trace.Dropped, _trace.Trouble ?? "complete");
        }
        _page?.Dispose();
        _telemetry.Dispose();
        _turn.Dispose();
    }

    private async Task<IReadOnlyList<string>> ReplaceAsync(AgentSettings next)
    {
        if (SettingsChange.NeedsRestart(_settings, next) is { Count: > 0 } keys)
            return
            [
                .. keys.Select(key =>
                    $"{key} is fixed while the daemon runs. Restart it, or put the old value back."
                ),
            ];
        WatchPlan plan;
        try
        {
            plan = PlanFor(_controllers, next);
        }
        catch (ArgumentException refusal)
        {
            return [refusal.Message];
        }
        await StopPollingAsync(plan.Ended);
        _snapshots?.Follow(Places(plan));
        await Task.WhenAll(plan.Changed.Select(changed => changed.Item1.HandToAsync(changed.Item2)));
        foreach (WatchedMachine machine in plan.MachinesEnded)
            machine.Watch.Close("The machine was taken out of the configuration, or its settings changed.");
        _settings = next;
        _watches = [.. plan.Machines.Select(machine => machine.Watch)];
        _controllers = plan.Controllers;
        foreach (WatchedController begun in plan.Begun)
        {
            if (_runs)
                begun.Start(Died);
        }
        foreach (string unused in plan.Unused)
            _logger.ControllerWithoutMachines(unused);
        foreach (WatchedMachine machine in plan.Machines)
        {
            if (_trace is not null && _trace.For(machine.Settings) is null)
                _logger.NotRecorded(machine.Settings.Name);
        }
        string touched = plan.Describe();
        _logger.Reloaded(touched);
        await CloseAsync(plan.Ended);
        return [];
    }

    private WatchPlan PlanFor(IReadOnlyList<WatchedController> now, AgentSettings next) =>
        WatchPlan.Of(
            now,
            next,
            machine => new WatchedMachine(
                machine,
                new MachineWatch(MachinePlace.Of(next, machine), machine.Machine, _clock.ToWallClock, _events)
                {
                    Trace = next.StatusPage.Enabled ? new FillTrace() : null,
                    Past = next.StatusPage.Enabled ? new PastWarnings() : null,
                    Tripped = (ticks, side) =>
                        _recorder?.Mark(machine.Name, ticks, $"{side.Code() ?? "either"}-side trip"),
                }
            ),
            (settings, machines) =>
                new(
                    settings,
                    machines,
                    _clock,
                    _telemetry,
                    machine => RecordingsOf(machine, TimeSpan.FromMilliseconds(settings.PollMilliseconds)),
                    _loggers,
                    readers: _readers
                )
        );

    private static IReadOnlyList<(MachineWatch, WatchedMachineSettings)> Places(WatchPlan plan) =>
        [.. plan.Machines.Select(machine => (machine.Watch, machine.Settings))];

    private List<IReadingSink> RecordingsOf(WatchedMachineSettings machine, TimeSpan period)
    {
        List<IReadingSink> recordings = [];
        if (_trace?.For(machine) is { } trace)
            recordings.Add(trace);
        if (_recorder?.For(machine, period) is { } recorder)
            recordings.Add(recorder);
        return recordings;
    }

    private void Died(string part, Exception? why)
    {
        if (_died.TrySetResult(new PartDiedException(part, why)))
            _logger.PartDied(why, part);
    }

    private Task Run(string part, Func<CancellationToken, Task>? loop, CancellationToken cancellation) =>
        PartLoop.Run(part, loop, Died, cancellation);

    private async Task StopPollingAsync(IReadOnlyList<WatchedController> controllers)
    {
        bool[] ended = await Task.WhenAll(controllers.Select(controller => controller.StopAsync(s_pollsEnd)));
        foreach ((WatchedController controller, bool isOver) in controllers.Zip(ended))
        {
            if (!isOver)
                _logger.LeftBehind(
                    $"The poll loop of controller {controller.Settings.Name}",
                    s_pollsEnd.TotalMilliseconds
                );
        }
    }

    private static Task CloseAsync(IReadOnlyList<WatchedController> controllers) =>
        Task.WhenAll(controllers.Select(controller => controller.DisposeAsync().AsTask()));

    private async Task SendLastEventsAsync(Outlet outlet, Task publishing)
    {
        long begun = _clock.Ticks;
        while (
            outlet.Outbox.Waiting > 0
            && outlet.IsConnected()
            && !publishing.IsCompleted
            && _clock.Ticks - begun < s_lastEvents.Ticks
        )
            await Task.Delay(s_look, _clock.Time);
    }

    private async Task EndedAsync(string part, Task loop, TimeSpan limit)
    {
        await loop.WaitAsync(limit, _clock.Time).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        if (!loop.IsCompleted)
            _logger.LeftBehind(part, limit.TotalMilliseconds);
    }

    private static TraceRecorder Trace(
        string directory,
        IReadOnlyList<WatchedMachineSettings> machines,
        MonotonicClock clock
    )
    {
        Directory.CreateDirectory(directory);
        string stamp = clock.Time.GetUtcNow().ToString("yyyyMMdd'T'HHmmss'Z'", CultureInfo.InvariantCulture);
        return new TraceRecorder(Path.Combine(directory, $"readings-{stamp}.csv"), machines, clock);
    }
}
