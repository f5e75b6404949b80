using System.Net;
using System.Net.Sockets;

namespace Dancerwatch.Tests;

internal static class LoopbackPort
{
    /// <summary>A TCP port of 127.0.0.1 on which nothing listens now, for a program that must be told one.</summary>
    public static int Free() => FreeRow(1);

    /// <summary>The first of so many such ports in a row.</summary>
    public static int FreeRow(int ports)
    {
        while (true)
        {
            List<TcpListener> row = [];
            try
            {
                int first = Listen(0);
                for (int i = 1; i < ports; i++)
                    Listen(first + i);
                return first;
            }
            catch (SocketException taken) when (taken.SocketErrorCode == SocketError.AddressAlreadyInUse) { }
            finally
            {
                row.ForEach(listener => listener.Dispose());
            }

            int Listen(int port)
            {
                TcpListener listener = new(IPAddress.Loopback, port);
                row.Add(listener);
                listener.Start();
                return ((IPEndPoint)listener.LocalEndpoint).Port;
            }
        }
    }
}
