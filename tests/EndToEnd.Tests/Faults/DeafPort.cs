using System.Net;
using System.Net.Sockets;

namespace Dancerwatch.EndToEnd.Tests.Faults;

/// <summary>A port of 127.0.0.1 that never answers, like an address nobody has: its queue of connections is full, so that the kernel drops whoever knocks.</summary>
internal sealed class DeafPort : IDisposable
{
    private const int MostKnocks = 16;
    private readonly Socket _listener = new(SocketType.Stream, ProtocolType.Tcp);
    private readonly List<Socket> _waiting = [];

    private DeafPort()
    {
        _listener.Bind(new IPEndPoint(IPAddress.Loopback, 0));
        _listener.Listen(backlog: 0);
    }

    public int Port => ((IPEndPoint)_listener.LocalEndPoint!).Port;

    public static async Task<DeafPort> OpenAsync()
    {
        DeafPort port = new();
        for (int i = 0; i < MostKnocks; i++)
        {
            if (!await port.AnswersAsync())
                return port;
        }
        throw new InvalidOperationException("The kernel let everybody in.");
    }

    public void Dispose()
    {
        foreach (Socket socket in _waiting)
            socket.Dispose();
        _listener.Dispose();
    }

    private async Task<bool> AnswersAsync()
    {
        Socket knock = new(SocketType.Stream, ProtocolType.Tcp);
        _waiting.Add(knock);
        using CancellationTokenSource limit = new(TimeSpan.FromMilliseconds(200));
        try
        {
            await knock.ConnectAsync(IPAddress.Loopback, Port, limit.Token);
            return true;
        }
        catch (OperationCanceledException)
        {
            return false;
        }
    }
}
