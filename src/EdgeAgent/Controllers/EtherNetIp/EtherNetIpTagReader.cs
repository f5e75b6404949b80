using System.Runtime.CompilerServices;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Reconnect;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>
/// Reads the tags of one controller over EtherNet/IP, on one connection that is opened when first needed and opened
/// again, in the background, when lost. It can only read: no other service exists in it. One read at a time.
/// </summary>
public sealed class EtherNetIpTagReader : ITagReader
{
    private readonly SessionSettings _settings;
    private readonly MonotonicClock _clock;
    private readonly ILogger _logger;
    private readonly string _controller;
    private readonly TagBoard _board;
    private readonly Reconnector<Link> _reconnector;
    private readonly CancellationTokenSource _lifetime = new();
    private CancellationTokenSource _deadline;
    private ConnectSeries<Link>? _series;
    private Link? _link;
    private long? _lossTold;

    // Set by the attempts in the background, one at a time.
    private Way _way;
    private volatile LinkException? _connectFailure;
    private volatile bool _comesAndGoes;

    /// <exception cref="ArgumentException">The route is malformed; the message says how.</exception>
    public EtherNetIpTagReader(
        ControllerSettings settings,
        IReadOnlyList<TagRequest> tags,
        MonotonicClock clock,
        ILogger<EtherNetIpTagReader> logger
    )
    {
        if (!RoutePath.TryParse(settings.Route, out byte[] route, out string? problem))
            throw new ArgumentException(problem, nameof(settings));
        _settings = new SessionSettings(
            settings.Host,
            settings.Port,
            route,
            TimeSpan.FromMilliseconds(settings.TimeoutMilliseconds),
            TimeSpan.FromMilliseconds(settings.PollMilliseconds)
        );
        _clock = clock;
        _logger = logger;
        _controller = $"controller '{settings.Name}' at {settings.Host}:{settings.Port}";
        _board = new TagBoard(_controller, tags, logger);
        _deadline = new CancellationTokenSource(Timeout.InfiniteTimeSpan, clock.Time);
        _reconnector = new Reconnector<Link>(
            OpenAsync,
            AttemptFailed,
            new ReconnectBackoff(TimeSpan.FromMilliseconds(settings.ReconnectMaximumMilliseconds)),
            clock.Time
        );
        Tags = tags;
    }

    /// <summary>A session, the requests prepared for it, and the read by which it proved itself.</summary>
    private sealed record Link(Session Session, TagRound Round, TagSnapshot Proof);

    public IReadOnlyList<TagRequest> Tags { get; }

    public string? Trouble { get; private set; }

    public string? TagTrouble(int tag) => _board.Trouble(tag);

    /// <inheritdoc/>
    [AsyncMethodBuilder(typeof(PoolingAsyncValueTaskMethodBuilder))]
    public async ValueTask ReadAsync(TagSnapshot into, CancellationToken cancellation)
    {
        cancellation.ThrowIfCancellationRequested();
        if (_deadline.IsCancellationRequested)
            RenewDeadline();
        using CancellationTokenRegistration abandoned = cancellation.UnsafeRegister(
            static deadline => ((CancellationTokenSource)deadline!).Cancel(),
            _deadline
        );
        _deadline.CancelAfter(_settings.Timeout);
        try
        {
            if (_link is null)
                await ConnectAsync(into, cancellation);
            else
                await _link.Round.ReadAsync(into, _deadline.Token);
            if (_link is not null)
                Trouble = null;
        }
#pragma warning disable CA1031 // Whatever a controller or network does, the poll ends well; the sentence says what it was.
        catch (Exception failure)
#pragma warning restore CA1031
        {
            bool wasConnected = _link is not null;
            _link?.Session.Dispose();
            _link = null;
            cancellation.ThrowIfCancellationRequested();
            LinkException why = wasConnected
                ? LinkTrouble.WhileReading(failure, _settings.Timeout)
                : LinkTrouble.WhileConnecting(failure, _settings.Timeout);
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
        if (_lifetime.IsCancellationRequested)
            return;
        await _lifetime.CancelAsync();
        Link? link = _link ?? await AwaitSeriesAsync();
        if (link is not null)
        {
            using CancellationTokenSource limit = new(_settings.Timeout, _clock.Time);
            try
            {
                await link.Session.CloseAsync(limit.Token);
            }
#pragma warning disable CA1031 // Leave-taking is a courtesy: the controller gives the connection up without it, too.
            catch (Exception)
#pragma warning restore CA1031
            { }
            link.Session.Dispose();
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
            await _link.Round.ReadAsync(into, _deadline.Token);
    }

    // Connected means that every tag was asked for once: a controller that opens sessions but answers reads with
    // garbage is retried at the pace of the backoff, not of the polls.
    private async ValueTask<Link> OpenAsync(CancellationToken cancellation)
    {
        using CancellationTokenSource limit = new(_settings.Timeout, _clock.Time);
        using CancellationTokenSource both = CancellationTokenSource.CreateLinkedTokenSource(
            limit.Token,
            cancellation
        );
        Session? session = null;
        try
        {
            session = await Session.OpenAsync(_settings, _way, both.Token);
            Link link = new(session, new TagRound(session, _board, _clock), new TagSnapshot(Tags.Count));
            await link.Round.ReadAsync(link.Proof, both.Token);
            TellOfConnection(session);
            return link;
        }
        catch (Exception failure)
        {
            session?.Dispose();
            cancellation.ThrowIfCancellationRequested();
            // Whatever else went wrong, the best way is tried again.
            _way = failure is UnansweredException unanswered ? unanswered.Next : Way.LargeConnection;
            throw LinkTrouble.WhileConnecting(failure, _settings.Timeout);
        }
    }

    // Told once as a warning; while the reason stays the same, the attempts after it are detail.
    private void AttemptFailed(Exception thrown, TimeSpan pause)
    {
        LinkException failure = LinkTrouble.WhileConnecting(thrown, _settings.Timeout);
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

    private void TellOfConnection(Session session)
    {
        LogLevel level = _comesAndGoes ? LogLevel.Debug : LogLevel.Information;
        _logger.Connected(level, _controller, Tags.Count, session.Carrier.Description);
        if (session.ConnectionRefusal is { } refusal)
            _logger.ConnectionRefused(level, _controller, refusal, session.Carrier.Description);
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
