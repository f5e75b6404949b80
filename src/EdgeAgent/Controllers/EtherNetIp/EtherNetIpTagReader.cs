using Dancerwatch.EdgeAgent.Configuration;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>Reads the tags of one controller over EtherNet/IP. It can only read: no other service exists in it.</summary>
public sealed class EtherNetIpTagReader : LinkedTagReader
{
    private readonly SessionSettings _settings;
    private readonly MonotonicClock _clock;
    private readonly TagBoard _board;

    // Set by the attempts in the background, one at a time.
    private Way _way;

    /// <exception cref="ArgumentException">The route is malformed; the message says how.</exception>
    public EtherNetIpTagReader(
        ControllerSettings settings,
        IReadOnlyList<TagRequest> tags,
        MonotonicClock clock,
        ILogger<EtherNetIpTagReader> logger
    )
        : base(settings, tags, clock, logger)
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
        _board = new TagBoard(NameOf(settings), tags, logger);
    }

    public override string? TagTrouble(int tag) => _board.Trouble(tag);

    private protected override async Task<ITagLink> OpenAsync(CancellationToken cancellation)
    {
        Session session = await Session.OpenAsync(_settings, _way, cancellation);
        return new SessionLink(session, new TagRound(session, _board, _clock));
    }

    // Whatever else went wrong, the best way is tried again.
    private protected override void OpeningFailed(Exception failure) =>
        _way = failure is UnansweredException unanswered ? unanswered.Next : Way.LargeConnection;

    /// <summary>A session, and the requests prepared for it.</summary>
    private sealed class SessionLink(Session session, TagRound round) : ITagLink
    {
        public string Description => session.Carrier.Description;

        public string? Refusal => session.ConnectionRefusal;

        public ValueTask ReadAsync(TagSnapshot into, CancellationToken cancellation) =>
            round.ReadAsync(into, cancellation);

        public Task CloseAsync(CancellationToken cancellation) => session.CloseAsync(cancellation);

        public void Dispose() => session.Dispose();
    }
}
