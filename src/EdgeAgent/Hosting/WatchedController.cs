using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Polling;
using Dancerwatch.EdgeAgent.Watching;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Hosting;

/// <summary>One controller with its connection, its poll loop and the machines that are read through it.</summary>
internal sealed class WatchedController : IAsyncDisposable
{
    /// <summary>A driver may close its connection for so long; the controller gives it up without that, too.</summary>
    private static readonly TimeSpan s_closeTime = TimeSpan.FromSeconds(1);

    /// <summary>Besides timeout and period: computers sleep, and the scheduler has others to serve.</summary>
    private static readonly TimeSpan s_roundMargin = TimeSpan.FromSeconds(2);

    private readonly MonotonicClock _clock;
    private readonly ILoggerFactory _loggers;
    private readonly ControllerPoller _poller;
    private readonly Func<WatchedMachineSettings, IReadOnlyList<IReadingSink>> _recordings;
    private readonly CancellationTokenSource _stop = new();
    private readonly ReaderFactory _readers;
    private ITagReader _reader;
    private Task _polling = Task.CompletedTask;

    /// <param name="machines">Those it is read for; at least one.</param>
    /// <param name="recordings">Where readings of a machine are recorded.</param>
    /// <param name="mayPoll">Asked before each poll, which is passed over where it may not be; null: always.</param>
    /// <param name="readers">Makes its connections; the drivers where null.</param>
    /// <exception cref="ArgumentException">The driver cannot use the settings.</exception>
    public WatchedController(
        ControllerSettings settings,
        IReadOnlyList<WatchedMachine> machines,
        MonotonicClock clock,
        IPollObserver observer,
        Func<WatchedMachineSettings, IReadOnlyList<IReadingSink>> recordings,
        ILoggerFactory loggers,
        Func<bool>? mayPoll = null,
        ReaderFactory? readers = null
    )
    {
        Settings = settings;
        Machines = machines;
        _recordings = recordings;
        (_clock, _loggers) = (clock, loggers);
        _readers = readers ?? TagReaders.Create;
        _reader = _readers(settings, TagsOf(machines), clock, loggers);
        TimeSpan period = TimeSpan.FromMilliseconds(settings.PollMilliseconds);
        _poller = new ControllerPoller(
            settings.Name,
            _reader,
            period,
            clock,
            Feeds(machines, _reader),
            observer,
            loggers.CreateLogger<ControllerPoller>()
        )
        {
            LongestRound = period + TimeSpan.FromMilliseconds(settings.TimeoutMilliseconds) + s_roundMargin,
            MayPoll = mayPoll ?? (static () => true),
        };
    }

    public ControllerSettings Settings { get; }

    public IReadOnlyList<WatchedMachine> Machines { get; private set; }

    /// <inheritdoc cref="ControllerPoller.IsStuck"/>
    public bool IsStuck => _poller.IsStuck;

    /// <inheritdoc cref="ControllerPoller.HasComeRound"/>
    public bool HasComeRound => _poller.HasComeRound;

    /// <inheritdoc cref="ControllerPoller.Reads"/>
    public bool Reads => _poller.Reads;

    /// <summary>Whether the connection there is reads just the tags of these.</summary>
    public bool ReadsTagsOf(IReadOnlyList<WatchedMachine> machines) =>
        TagsOf(machines).ToHashSet().SetEquals(_reader.Tags);

    /// <summary>
    /// Watches these from the next poll on: over the connection there is, or where their tags are others, over a new one that
    /// stands before the old one is closed. No deadline is missed for it.
    /// </summary>
    public async Task HandToAsync(IReadOnlyList<WatchedMachine> machines)
    {
        if (ReadsTagsOf(machines))
            _poller.HandTo(Feeds(machines, _reader));
        else
            await ReadAnewAsync(machines);
        Machines = machines;
    }

    private async Task ReadAnewAsync(IReadOnlyList<WatchedMachine> machines)
    {
        ITagReader before = _reader;
        ITagReader next = _readers(Settings, TagsOf(machines), _clock, _loggers);
        // Its first read connects. Where that fails, polling goes on trying, as with any controller that is away.
        if (!_polling.IsCompleted)
            await next.ReadAsync(new TagSnapshot(next.Tags.Count), CancellationToken.None);
        _reader = next;
        Task left = _poller.ReadWith(next, Feeds(machines, next));
        if (!_polling.IsCompleted)
            await ((Task)Task.WhenAny(left, _polling))
                .WaitAsync(_poller.LongestRound, _clock.Time)
                .ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        if (left.IsCompleted || _polling.IsCompleted)
            await CloseAsync(before);
    }

    /// <summary>Begins to poll.</summary>
    /// <param name="died">Told if the loop ends though it was not stopped; with null where without an exception.</param>
    public void Start(Action<string, Exception?> died) =>
        _polling = PartLoop.Run(
            $"The poll loop of controller {Settings.Name}",
            _poller.RunAsync,
            died,
            _stop.Token
        );

    /// <summary>Stops polling.</summary>
    /// <returns>False where the loop hangs; it is then left to itself.</returns>
    public async Task<bool> StopAsync(TimeSpan limit)
    {
        await Task.WhenAll(_stop.CancelAsync(), _polling)
            .WaitAsync(limit, _clock.Time)
            .ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        return _polling.IsCompleted;
    }

    /// <summary>Closes the connection, in good order where that is quick. To be called once stopped.</summary>
    public async ValueTask DisposeAsync()
    {
        // A driver in the middle of a read is not to be touched: it hangs, and the process is about to end.
        if (!_polling.IsCompleted)
            return;
        await CloseAsync(_reader);
        _stop.Dispose();
    }

    private async Task CloseAsync(ITagReader reader) =>
        await reader
            .DisposeAsync()
            .AsTask()
            .WaitAsync(s_closeTime, _clock.Time)
            .ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);

    private List<ISnapshotSink> Feeds(IReadOnlyList<WatchedMachine> machines, ITagReader reader) =>
        [
            .. machines.Select(machine => new MachineFeed(
                new ReadingSource(machine.Settings, reader.Tags),
                machine.Watch,
                _recordings(machine.Settings)
            )),
        ];

    private static IReadOnlyList<TagRequest> TagsOf(IReadOnlyList<WatchedMachine> machines) =>
        ReadingSource.TagsOf(machines.Select(machine => machine.Settings));
}
