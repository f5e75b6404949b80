using System.Net;
using System.Net.Sockets;

namespace Dancerwatch.EndToEnd.Tests.Outbox;

/// <summary>A port of 127.0.0.1 behind which another one is, as far away as is asked for.</summary>
internal sealed class SlowPort : IAsyncDisposable
{
    private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
    private readonly int _behind;
    private readonly CancellationTokenSource _stop = new();
    private readonly Task _running;

    public SlowPort(int behind)
    {
        _behind = behind;
        _listener.Start();
        _running = RunAsync();
    }

    public int Port => ((IPEndPoint)_listener.LocalEndpoint).Port;

    /// <summary>How long whatever comes is kept back, each way.</summary>
    public TimeSpan Delay { get; set; }

    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync();
        await _running;
        _listener.Dispose();
        _stop.Dispose();
    }

    private async Task RunAsync()
    {
        List<Task> connections = [];
        try
        {
            while (true)
                connections.Add(CarryAsync(await _listener.AcceptTcpClientAsync(_stop.Token)));
        }
        catch (OperationCanceledException) { }
        await Task.WhenAll(connections);
    }

    private async Task CarryAsync(TcpClient client)
    {
        using (client)
        using (TcpClient server = new())
        using (CancellationTokenSource end = CancellationTokenSource.CreateLinkedTokenSource(_stop.Token))
        {
            try
            {
                await server.ConnectAsync(IPAddress.Loopback, _behind, end.Token);
                Task[] ways =
                [
                    CarryAsync(client.GetStream(), server.GetStream(), end.Token),
                    CarryAsync(server.GetStream(), client.GetStream(), end.Token),
                ];
                await Task.WhenAny(ways);
                await end.CancelAsync();
                await Task.WhenAll(ways);
            }
            catch (Exception e) when (e is SocketException or IOException or OperationCanceledException) { }
        }
    }

    private async Task CarryAsync(NetworkStream from, NetworkStream to, CancellationToken cancellation)
    {
        byte[] bytes = new byte[4096];
        while (await from.ReadAsync(bytes, cancellation) is > 0 and int read)
        {
            if (Delay > TimeSpan.Zero)
                await Task.Delay(Delay, cancellation);
            await to.WriteAsync(bytes.AsMemory(0, read), cancellation);
        }
    }
}
