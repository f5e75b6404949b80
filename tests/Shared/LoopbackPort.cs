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

    /// <summary>The first of so many TCP ports in a row on which nothing listens now.</summary>
    public static int FreeRow(int ports)
    {
        while (true)
        {
            int first = Free();
            List<TcpListener> row = [];
            try
            {
                for (int i = 0; i < ports; i++)
                {
                    row.Add(new TcpListener(IPAddress.Loopback, first + i));
                    row[i].Start();
                }
                return first;
            }
            catch (SocketException taken) when (taken.SocketErrorCode == SocketError.AddressAlreadyInUse) { }
            finally
            {
                row.ForEach(listener => listener.Dispose());
            }
        }
    }
}
