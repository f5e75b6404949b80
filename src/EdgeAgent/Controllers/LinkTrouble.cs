using System.Net.Sockets;

namespace Dancerwatch.EdgeAgent.Controllers;

/// <summary>Turns what went wrong with a connection into a sentence: what happened and what to try.</summary>
internal static class LinkTrouble
{
    /// <summary>Explains what was thrown while connecting.</summary>
    public static LinkException WhileConnecting(Exception failure, TimeSpan timeout) =>
        failure is OperationCanceledException
            ? new LinkException(
                TagStatus.TimedOut,
                $"did not answer within {timeout.TotalMilliseconds:0} ms. Check its power, the cable and the address; a firewall may swallow what is sent to this port"
            )
            : Explain(failure);

    /// <summary>Explains what was thrown while reading.</summary>
    public static LinkException WhileReading(Exception failure, TimeSpan timeout) =>
        failure is OperationCanceledException
            ? new LinkException(
                TagStatus.TimedOut,
                $"stopped answering: no reply within {timeout.TotalMilliseconds:0} ms; the connection was closed and is opened again. If it goes on, check the network, or raise the timeout"
            )
            : Explain(failure);

    private static LinkException Explain(Exception failure) =>
        failure switch
        {
            LinkException known => known,
            SocketException socket => new LinkException(TagStatus.NotRead, Explain(socket)),
            _ => new LinkException(
                TagStatus.NotRead,
                $"could not be read: {failure.GetType().Name}, {failure.Message}"
            ),
        };

    private static string Explain(SocketException failure) =>
        failure.SocketErrorCode switch
        {
            SocketError.ConnectionRefused =>
                "refused the connection: nothing listens on that port. Check address and port, and that the controller has EtherNet/IP switched on",
            SocketError.HostNotFound or SocketError.NoData or SocketError.TryAgain =>
                "is not known by that name. Check the spelling, or give its IP address",
            SocketError.NetworkUnreachable or SocketError.HostUnreachable =>
                "cannot be reached from here: no way leads to that address. Check this computer's network settings and the cable",
            SocketError.ConnectionReset or SocketError.ConnectionAborted or SocketError.Shutdown =>
                "broke the connection off; it is opened again. If it goes on, check whether the controller restarts or has no connections left",
            SocketError.TimedOut =>
                "stopped answering on the network; the connection is opened again. Check its power and the cable",
            _ =>
                $"could not be reached: {failure.Message} ({failure.SocketErrorCode}). Check the network between here and there",
        };
}
