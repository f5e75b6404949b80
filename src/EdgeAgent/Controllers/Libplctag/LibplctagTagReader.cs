using System.Net.Sockets;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers.EtherNetIp;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Controllers.Libplctag;

/// <summary>
/// Reads the tags of one controller by the native library libplctag, where there is one. It can only read: the library's
/// other functions are not imported.
/// </summary>
public sealed class LibplctagTagReader : LinkedTagReader
{
    private readonly ControllerSettings _settings;
    private readonly MonotonicClock _clock;
    private readonly NativeBoard _board;
    private readonly string _attributes;

    /// <exception cref="ArgumentException">The route is malformed; the message says how.</exception>
    public LibplctagTagReader(
        ControllerSettings settings,
        IReadOnlyList<TagRequest> tags,
        MonotonicClock clock,
        ILogger<LibplctagTagReader> logger
    )
        : base(settings, tags, clock, logger)
    {
        if (!RoutePath.TryParse(settings.Route, out _, out string? problem))
            throw new ArgumentException(problem, nameof(settings));
        _settings = settings;
        _clock = clock;
        _board = new NativeBoard(NameOf(settings), tags, logger);
        string path = settings.Route.Length > 0 ? $"&path={settings.Route}" : "";
        _attributes = $"protocol=ab-eip&gateway={settings.Host}:{settings.Port}{path}&plc=lgx";
    }

    public override string? TagTrouble(int tag) => _board.Trouble(tag);

    private protected override async Task<ITagLink> OpenAsync(CancellationToken cancellation)
    {
        if (PlcTagLibrary.Trouble is { } trouble)
            throw new LinkException(TagStatus.NotRead, $"cannot be read: {trouble}");
        await KnockAsync(cancellation);
        return await NativeLink.OpenAsync(_board, _attributes, _clock, cancellation);
    }

    // The library waits out its whole timeout where a port is refused; a connection of ours tells at once.
    private async Task KnockAsync(CancellationToken cancellation)
    {
        using Socket socket = new(SocketType.Stream, ProtocolType.Tcp);
        await socket.ConnectAsync(_settings.Host, _settings.Port, cancellation);
    }
}
