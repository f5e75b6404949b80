using System.Runtime.CompilerServices;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Reconnect;
using Dancerwatch.EdgeAgent.Waiting;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Controllers;

/// <summary>
/// Reads the tags of one controller over a connection that is opened when first needed and opened again, in the background,
/// when lost. What the connection is, is the driver's. One read at a time.
/// </summary>
public abstract class LinkedTagReader : ITagReader
{
    private readonly TimeSpan _timeout;
    private readonly MonotonicClock _clock;
    private readonly ILogger _logger;
    private readonly string _controller;
    private readonly Reconnector<Link> _reconnector;
    private readonly CancellationTokenSource _lifetime = new();
    private CancellationTokenSource _deadline;
    private ConnectSeries<Link>? _series;
    private Link? _link;
    private long? _lossTold;

    // Set by the attempts in the background, one at a time.
    private volatile LinkException? _connectFailure;
    private volatile bool _comesAndGoes;

    private protected LinkedTagReader(
        ControllerSettings settings,
        IReadOnlyList<TagRequest> tags,
        MonotonicClock clock,
        ILogger logger
    )
    {
        _timeout = TimeSpan.FromMilliseconds(settings.TimeoutMilliseconds);
        _clock = clock;
        _logger = logger;
        _controller = NameOf(settings);
        _deadline = new CancellationTokenSource(Timeout.InfiniteTimeSpan, clock.Time);
        _reconnector = new Reconnector<Link>(
            OpenAndReadAsync,
            AttemptFailed,
            new ReconnectBackoff(TimeSpan.FromMilliseconds(settings.ReconnectMaximumMilliseconds)),
            clock.Time
        );
        Tags = tags;
    }

    /// <summary>A connection, and the read by which it proved itself.</summary>
    private sealed record Link(ITagLink Tags, TagSnapshot Proof);

    public IReadOnlyList<TagRequest> Tags { get; }

    public string? Trouble { get; private set; }

    public abstract string? TagTrouble(int tag);

    /// <summary>Opens a connection; one attempt, given up when cancelled.</summary>
    /// <exception cref="LinkException">The controller is not there, or does not answer as it must.</exception>
    private protected abstract Task<ITagLink> OpenAsync(CancellationToken cancellation);

    /// <summary>The controller as sentences name it.</summary>
    private protected static string NameOf(ControllerSettings settings) =>
        $"controller '{settings.Name}' at {settings.Host}:{settings.Port}";

    /// <inheritdoc/>
    [AsyncMethodBuilder(typeof(ReusingMethodBuilder))]
    public async ValueTask ReadAsync(TagSnapshot into, CancellationToken cancellation)
    {
        cancellation.ThrowIfCancellationRequested();
        if (_deadline.IsCancellationRequested)
            RenewDeadline();
        using CancellationTokenRegistration abandoned = cancellation.UnsafeRegister(
            static deadline => ((CancellationTokenSource)deadline!).Cancel(),
            _deadline
        );
        _deadline.CancelAfter(_timeout);
        try
        {
            if (_link is null)
                await ConnectAsync(into, cancellation);
            else
                await _link.Tags.ReadAsync(into, _deadline.Token);
            if (_link is not null)
                Trouble = null;
        }
#pragma warning disable CA1031 // Whatever a controller or network does, the poll ends well; the sentence says what it was.
        catch (Exception failure)
#pragma warning restore CA1031
        {
            bool wasConnected = _link is not null;
            _link?.Tags.Dispose();
            _link = null;
            cancellation.ThrowIfCancellationRequested();
            LinkException why = wasConnected
                ? LinkTrouble.WhileReading(failure, _timeout)
                : LinkTrouble.WhileConnecting(failure, _timeout);
            if (wasConnected)
                TellOfLoss(why);
            Fail(into, why, why.Status);
        }
        finally
        {
            _deadline.CancelAfter(Timeout.InfiniteTimeSpan);
        }
    }

    /// <summary>Closes the connection in good order, within the timeout.</summary>
    public async ValueTask DisposeAsync()
    {
        GC.SuppressFinalize(this);
        if (_lifetime.IsCancellationRequested)
            return;
        await _lifetime.CancelAsync();
        Link? link = _link ?? await AwaitSeriesAsync();
        if (link is not null)
        {
            using CancellationTokenSource limit = new(_timeout, _clock.Time);
            try
            {
                await link.Tags.CloseAsync(limit.Token);
            }
#pragma warning disable CA1031 // Leave-taking is a courtesy: the controller gives the connection up without it, too.
            catch (Exception)
#pragma warning restore CA1031
            { }
            link.Tags.Dispose();
        }
        _link = null;
        _series = null;
        _lifetime.Dispose();
        _deadline.Dispose();
    }

    // The first attempt of a series is waited for (it bounds its own time), and the read by which it proved itself is
    // this poll's. Later attempts go on in the background, and the polls meanwhile fail at once.
    private async ValueTask ConnectAsync(TagSnapshot into, CancellationToken cancellation)
    {
        bool first = _series is null;
        if (_series is null)
        {
            _connectFailure = null;
            _series = _reconnector.Start(_lifetime.Token);
            await _series.FirstAttempt.WaitAsync(cancellation);
        }
        if (!_series.Connected.IsCompleted)
        {
            if (_connectFailure is { } failure)
                Fail(into, failure, first ? failure.Status : TagStatus.NotRead);
            else
                into.Fail(_clock.Ticks, TagStatus.NotRead);
            return;
        }
        Task<Link> connected = _series.Connected;
        _series = null;
        _link = await connected;
        if (first)
            into.CopyFrom(_link.Proof);
        else
            await _link.Tags.ReadAsync(into, _deadline.Token);
    }

    // Connected means that every tag was asked for once: a controller that opens sessions but answers reads with
    // garbage is retried at the pace of the backoff, not of the polls.
    private async ValueTask<Link> OpenAndReadAsync(CancellationToken cancellation)
    {
        using CancellationTokenSource limit = new(_timeout, _clock.Time);
        using CancellationTokenSource both = CancellationTokenSource.CreateLinkedTokenSource(
            limit.Token,
            cancellation
        );
        ITagLink? tags = null;
        try
        {
            tags = await OpenAsync(both.Token);
            Link link = new(tags, new TagSnapshot(Tags.Count));
            await tags.ReadAsync(link.Proof, both.Token);
            TellOfConnection(tags);
            return link;
        }
        catch (Exception failure)
        {
            tags?.Dispose();
            cancellation.ThrowIfCancellationRequested();
            OpeningFailed(failure);
            throw LinkTrouble.WhileConnecting(failure, _timeout);
        }
    }

    /// <summary>Told what an attempt ended with, before the next.</summary>
    private protected virtual void OpeningFailed(Exception failure) { }

    // Told once as a warning; while the reason stays the same, the attempts after it are detail.
    private void AttemptFailed(Exception thrown, TimeSpan pause)
    {
        LinkException failure = LinkTrouble.WhileConnecting(thrown, _timeout);
        if (failure.Message == _connectFailure?.Message)
            _logger.ConnectFailedAgain(_controller, failure.Message, pause.TotalMilliseconds);
        else
        {
            _comesAndGoes = false;
            _logger.ConnectFailed(_controller, failure.Message, pause.TotalMilliseconds);
        }
        _connectFailure = failure;
    }

    // A connection that comes and goes on every poll is told of once a minute; in between it is detail.
    private void TellOfLoss(LinkException why)
    {
        long now = _clock.Ticks;
        _comesAndGoes = _lossTold is { } told && now - told < TimeSpan.TicksPerMinute;
        if (!_comesAndGoes)
            _lossTold = now;
        _logger.ConnectionLost(_comesAndGoes ? LogLevel.Debug : LogLevel.Warning, _controller, why.Message);
    }

    private void TellOfConnection(ITagLink link)
    {
        LogLevel level = _comesAndGoes ? LogLevel.Debug : LogLevel.Information;
        _logger.Connected(level, _controller, Tags.Count, link.Description);
        if (link.Refusal is { } refusal)
            _logger.ConnectionRefused(level, _controller, refusal, link.Description);
    }

    private void Fail(TagSnapshot into, LinkException why, TagStatus status)
    {
        Trouble = $"{_controller} {why.Message}.";
        into.Fail(_clock.Ticks, status);
    }

    private void RenewDeadline()
    {
        _deadline.Dispose();
        _deadline = new CancellationTokenSource(Timeout.InfiniteTimeSpan, _clock.Time);
    }

    // A connection that was made at the last moment wants closing too.
    private async ValueTask<Link?> AwaitSeriesAsync()
    {
        if (_series is null)
            return null;
        await ((Task)_series.Connected).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        return _series.Connected.IsCompletedSuccessfully ? await _series.Connected : null;
    }
}
