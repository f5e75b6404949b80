using System.Net.Sockets;
using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp.Browsing;

/// <summary>Lists the tags of one controller, over a connection of its own. Asks for lists and definitions, and for no value.</summary>
internal static class TagBrowser
{
    /// <exception cref="LinkException">The controller is not there, gives no list, or gives one that cannot be: the sentence after "controller at host:port".</exception>
    /// <exception cref="ArgumentException">The route is malformed; the message says how.</exception>
    /// <exception cref="OperationCanceledException"><paramref name="cancellation"/> was cancelled.</exception>
    public static async Task<BrowsedController> BrowseAsync(
        ControllerSettings controller,
        TimeProvider time,
        CancellationToken cancellation
    )
    {
        if (!RoutePath.TryParse(controller.Route, out byte[] route, out string? problem))
            throw new ArgumentException(problem, nameof(controller));
        TimeSpan timeout = TimeSpan.FromMilliseconds(controller.TimeoutMilliseconds);
        SessionSettings settings = new(
            controller.Host,
            controller.Port,
            route,
            timeout,
            TimeSpan.FromMilliseconds(controller.PollMilliseconds)
        );
        using CancellationTokenSource limit = new(BrowseLimits.Time, time);
        using CancellationTokenSource both = CancellationTokenSource.CreateLinkedTokenSource(
            limit.Token,
            cancellation
        );
        try
        {
            using Session session = await ConnectAsync(settings, time, both.Token);
            Questions questions = new(session, timeout, time);
            List<Symbol> symbols = await new SymbolLists(questions).AllAsync(both.Token);
            TemplateBook templates = new(questions);
            await templates.LearnAsync(symbols.Select(symbol => symbol.Type), both.Token);
            await TakeLeaveAsync(session, both.Token);
            return new TagTree(templates).Of(symbols);
        }
        catch (OperationCanceledException) when (!cancellation.IsCancellationRequested)
        {
            throw new LinkException(
                TagStatus.TimedOut,
                $"was still listing its tags after {BrowseLimits.Time.TotalSeconds:0} s, which is longer than any needs. Try again when the network is quiet"
            );
        }
        catch (SocketException failure)
        {
            throw LinkTrouble.WhileConnecting(failure, timeout);
        }
    }

    private static async Task TakeLeaveAsync(Session session, CancellationToken cancellation)
    {
        try
        {
            await session.CloseAsync(cancellation);
        }
        catch (Exception e) when (e is LinkException or SocketException)
        {
            // A courtesy: the controller gives the connection up without it, too.
        }
    }

    /// <summary>By the best way that is answered.</summary>
    private static async Task<Session> ConnectAsync(
        SessionSettings settings,
        TimeProvider time,
        CancellationToken cancellation
    )
    {
        for (Way way = Way.LargeConnection; ; way++)
        {
            using CancellationTokenSource limit = new(settings.Timeout, time);
            using CancellationTokenSource both = CancellationTokenSource.CreateLinkedTokenSource(
                limit.Token,
                cancellation
            );
            try
            {
                return await Session.OpenAsync(settings, way, both.Token);
            }
            catch (UnansweredException) when (way < Way.Unconnected) { }
            catch (OperationCanceledException late) when (!cancellation.IsCancellationRequested)
            {
                throw LinkTrouble.WhileConnecting(late, settings.Timeout);
            }
        }
    }
}
