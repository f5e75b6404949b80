using System.Net;
using System.Net.Sockets;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Telemetry.Prometheus;
using Dancerwatch.EdgeAgent.Watching;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.StatusPage;

/// <summary>
/// Serves the page: one request a connection, and a bounded number of connections. It asks watches for copies of their state
/// and has no other hold on them; whatever a viewer does costs viewers and nothing else.
/// </summary>
internal sealed class PageServer : IDisposable
{
    private const int MostConnections = 64;

    /// <summary>A request must come, and an answer go, within this time.</summary>
    private static readonly TimeSpan s_patience = TimeSpan.FromSeconds(5);

    /// <summary>After a wrong token and after trouble with the network.</summary>
    private static readonly TimeSpan s_pause = TimeSpan.FromSeconds(1);

    private readonly TcpListener _listener;
    private readonly PageRoutes _routes;
    private readonly PageFeed _feed;
    private readonly MetricsScrape _metrics;
    private readonly TimeProvider _time;
    private readonly ILogger _logger;
    private int _open;

    private PageServer(
        TcpListener listener,
        PageRoutes routes,
        PageFeed feed,
        MetricsScrape metrics,
        TimeProvider time,
        ILogger logger
    ) =>
        (_listener, _routes, _feed, _metrics, _time, _logger) = (
            listener,
            routes,
            feed,
            metrics,
            time,
            logger
        );

    /// <summary>Begins to listen. What is wrong is told in the log: watching goes on without a page.</summary>
    /// <returns>Null where the page is off, or cannot be served.</returns>
    public static PageServer? Open(
        StatusPageSettings settings,
        Func<IReadOnlyList<MachineWatch>> watches,
        MonotonicClock clock,
        ILogger logger
    )
    {
        if (!settings.Enabled)
            return null;
        try
        {
            string? token = settings.TokenFile is { } file ? Token(file) : null;
            if (token is null && !settings.IsLoopback)
                throw new InvalidDataException("at an address other than loopback it needs a tokenFile.");
            TcpListener listener = new(IPAddress.Parse(settings.Address), settings.Port);
            listener.Start();
            string address = $"http://{listener.LocalEndpoint}/";
            logger.PageServed(address);
            MetricsScrape metrics = new();
            return new PageServer(
                listener,
                new PageRoutes(new PageGate(token), watches, metrics),
                new PageFeed(watches, clock),
                metrics,
                clock.Time,
                logger
            );
        }
        catch (Exception e)
            when (e is IOException or UnauthorizedAccessException or SocketException or InvalidDataException)
        {
            logger.PageNotServed(
                $"{settings.Address}:{settings.Port}{(e is SocketException ? " cannot be listened at" : "")}: {e.Message}"
            );
            return null;
        }
    }

    /// <summary>Where it listens.</summary>
    public IPEndPoint EndPoint => (IPEndPoint)_listener.LocalEndpoint;

    /// <summary>Serves until <paramref name="cancellation"/>.</summary>
    public async Task RunAsync(CancellationToken cancellation)
    {
        while (!cancellation.IsCancellationRequested)
        {
            try
            {
                Socket socket = await _listener.AcceptSocketAsync(cancellation);
                if (Volatile.Read(ref _open) >= MostConnections)
                {
                    socket.Dispose();
                    continue;
                }
                Interlocked.Increment(ref _open);
                _ = ServeAsync(socket, cancellation);
            }
            catch (OperationCanceledException)
            {
                return;
            }
#pragma warning disable CA1031 // No handle left, say; whatever it was, watching must not end for want of a page.
            catch (Exception failure)
#pragma warning restore CA1031
            {
                _logger.ViewerFailed(failure);
                await Task.Delay(s_pause, _time, cancellation)
                    .ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
            }
        }
    }

    public void Dispose()
    {
        _listener.Dispose();
        _metrics.Dispose();
    }

    private async Task ServeAsync(Socket socket, CancellationToken cancellation)
    {
        try
        {
            using NetworkStream stream = new(socket, ownsSocket: true);
            using CancellationTokenSource patience = CancellationTokenSource.CreateLinkedTokenSource(
                cancellation
            );
            patience.CancelAfter(s_patience);
            PageReply? reply = await ReplyAsync(stream, socket, patience.Token);
            if (reply is null)
                return;
            await stream.WriteAsync(reply.Head(), patience.Token);
            await stream.WriteAsync(reply.Body, patience.Token);
            if (reply.EventsOf is { } machine)
                await _feed.SendAsync(stream, machine, s_patience, cancellation);
        }
        catch (Exception e) when (e is IOException or SocketException or OperationCanceledException)
        {
            // The viewer has gone, or is too slow; another look brings another connection.
        }
#pragma warning disable CA1031 // Whatever it was, it is told, and costs this viewer his answer and nothing else.
        catch (Exception failure)
#pragma warning restore CA1031
        {
            _logger.ViewerFailed(failure);
        }
        finally
        {
            Interlocked.Decrement(ref _open);
        }
    }

    private async Task<PageReply?> ReplyAsync(
        NetworkStream stream,
        Socket socket,
        CancellationToken cancellation
    )
    {
        try
        {
            if (await PageRequest.ReadAsync(stream, cancellation) is not { } request)
                return null;
            bool isWrong = false;
            PageReply reply = _routes.Answer(request, isRight => isWrong = !isRight);
            if (isWrong)
            {
                _logger.WrongToken(socket.RemoteEndPoint?.ToString() ?? "?");
                await Task.Delay(s_pause, _time, cancellation);
            }
            return reply;
        }
        catch (Exception e) when (e is InvalidDataException or UriFormatException)
        {
            return PageReply.Text(400, "That is no request this page understands.");
        }
    }

    private static string Token(string file)
    {
        string token = File.ReadLines(file).FirstOrDefault()?.Trim() ?? "";
        return token.Length >= PageGate.FewestCharacters
            ? token
            : throw new InvalidDataException(
                $"the token in {file} has {token.Length} characters. Allowed: {PageGate.FewestCharacters} or more."
            );
    }
}
