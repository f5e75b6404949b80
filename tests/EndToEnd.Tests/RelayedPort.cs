using System.Net;
using System.Net.Sockets;

namespace Dancerwatch.EndToEnd.Tests;

/// <summary>
/// A port of 127.0.0.1 behind which another one is, as far away as is asked for. It can be cut, and it can be made to carry
/// nothing back, so that what has arrived is not known to have.
/// </summary>
internal sealed class RelayedPort : IAsyncDisposable
{
    private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
    private readonly int _behind;
    private readonly CancellationTokenSource _stop = new();
    private readonly Task _running;
    private CancellationTokenSource _cut = new();
    private volatile bool _isCut;

    public RelayedPort(int behind)
    {
        _behind = behind;
        _listener.Start();
        _running = RunAsync();
    }

    public int Port => ((IPEndPoint)_listener.LocalEndpoint).Port;

    /// <summary>How long whatever comes is kept back, each way.</summary>
    public TimeSpan Delay { get; set; }

    /// <summary>Nothing that comes from behind is carried, and it is lost.</summary>
    public bool LosesAnswers { get; set; }

    /// <summary>Ends every connection, and every one that is tried, until <see cref="Mend"/>.</summary>
    public async Task CutAsync()
    {
        _isCut = true;
        await _cut.CancelAsync();
    }

    public void Mend()
    {
        _cut.Dispose();
        _cut = new CancellationTokenSource();
        LosesAnswers = false;
        _isCut = false;
    }

    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync();
        await _running;
        _listener.Dispose();
        _stop.Dispose();
        _cut.Dispose();
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
        {
            if (_isCut)
                return;
            using CancellationTokenSource end = CancellationTokenSource.CreateLinkedTokenSource(
                _stop.Token,
                _cut.Token
            );
            try
            {
                await server.ConnectAsync(IPAddress.Loopback, _behind, end.Token);
                Task there = CarryAsync(client.GetStream(), server.GetStream(), isAnswer: false, end.Token);
                Task back = CarryAsync(server.GetStream(), client.GetStream(), isAnswer: true, end.Token);
                await Task.WhenAny(there, back);
                await end.CancelAsync();
                await Task.WhenAll(there, back);
            }
            catch (Exception e) when (e is SocketException or IOException or OperationCanceledException) { }
        }
    }

    private async Task CarryAsync(
        NetworkStream from,
        NetworkStream to,
        bool isAnswer,
        CancellationToken cancellation
    )
    {
        byte[] bytes = new byte[16_384];
        while (await from.ReadAsync(bytes, cancellation) is > 0 and int read)
        {
            if (Delay > TimeSpan.Zero)
                await Task.Delay(Delay, cancellation);
            if (!isAnswer || !LosesAnswers)
                await to.WriteAsync(bytes.AsMemory(0, read), cancellation);
        }
    }
}
