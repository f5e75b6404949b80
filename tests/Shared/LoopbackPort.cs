using System.Net;
using System.Net.Sockets;

namespace Dancerwatch.Tests;

internal static class LoopbackPort
{
    /// <summary>A TCP port of 127.0.0.1 on which nothing listens now, for a program that must be told one.</summary>
    public static int Free()
    {
        using TcpListener listener = new(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }
}
