using System.Net;

namespace Dancerwatch.VirtualMachine.EtherNetIp;

/// <summary>How the virtual controller is set up.</summary>
public sealed record ControllerServerOptions
{
    /// <summary>Most a small Forward Open can ask for: its size field has nine bits.</summary>
    internal const int LargestSmallConnection = 511;

    /// <summary>Most bytes of an unconnected request or reply.</summary>
    internal const int LargestUnconnected = 504;

    public ControllerIdentity Identity { get; init; } = new();

    /// <summary>The controller's slot on the backplane (port 1): routes to another are refused. A request with no route is served.</summary>
    public byte Slot { get; init; }

    /// <summary>Whether connections are opened at all; where not, only unconnected requests are served.</summary>
    public bool AcceptConnections { get; init; } = true;

    /// <summary>Whether Large Forward Open is known. Older controllers answer "service not supported".</summary>
    public bool AcceptLargeConnections { get; init; } = true;

    /// <summary>Most bytes of a large connection, 511 to 4002.</summary>
    public int LargestConnection { get; init; } = 4002;

    /// <summary>Connections at once, over all clients.</summary>
    public int MaxConnections { get; init; } = 32;

    /// <summary>TCP clients at once; further ones are hung up on.</summary>
    public int MaxClients { get; init; } = 64;

    /// <summary>A TCP client that sends nothing for so long is hung up on.</summary>
    public TimeSpan ClientTimeout { get; init; } = TimeSpan.FromSeconds(120);

    /// <summary>
    /// Told of each request on an open connection, which is how tags are polled: who sent it. Opening and closing a connection
    /// is none. On that client's own loop.
    /// </summary>
    public Action<IPEndPoint> Polled { get; init; } = static _ => { };

    /// <exception cref="ArgumentOutOfRangeException">A value lies outside of its range; the message names it and the range.</exception>
    internal void Check()
    {
        Check(LargestConnection, LargestSmallConnection, 4002, nameof(LargestConnection));
        Check(MaxConnections, 1, 1024, nameof(MaxConnections));
        Check(MaxClients, 1, 1024, nameof(MaxClients));
        Check(
            Identity.ProductName.Length,
            0,
            32,
            $"{nameof(Identity)}.{nameof(Identity.ProductName)}.Length"
        );
        if (ClientTimeout <= TimeSpan.Zero)
            throw new ArgumentOutOfRangeException(
                nameof(ClientTimeout),
                $"{nameof(ClientTimeout)} is {ClientTimeout}. Allowed: more than zero. Try 00:02:00."
            );
    }

    private static void Check(int value, int least, int most, string name)
    {
        if (value < least || value > most)
            throw new ArgumentOutOfRangeException(name, $"{name} is {value}. Allowed: {least} to {most}.");
    }
}
