using System.Net;
using System.Net.Sockets;
using Dancerwatch.EdgeAgent.Waiting;

namespace Dancerwatch.EdgeAgent.Tests.Waiting;

public sealed class TcpLineTests : IDisposable
{
    private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
    private static readonly TimeSpan s_patience = TimeSpan.FromSeconds(10);

    public TcpLineTests() => _listener.Start();

    public void Dispose() => _listener.Dispose();

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    private int Port => ((IPEndPoint)_listener.LocalEndpoint).Port;

    [Theory]
    [InlineData("127.0.0.1")]
    [InlineData("localhost")]
    public async Task Bytes_go_out_and_come_in_and_the_end_of_the_other_side_is_an_empty_receive(string host)
    {
        using TcpLine line = await TcpLine.ConnectAsync(host, Port, Token).WaitAsync(s_patience, Token);
        using Socket peer = await _listener.AcceptSocketAsync(Token);
        byte[] bytes = new byte[8];

        Assert.Equal(3, await line.SendAsync(new byte[] { 1, 2, 3 }, Token));
        Assert.Equal(3, peer.Receive(bytes));

        ValueTask<int> receiving = line.ReceiveAsync(bytes, Token);
        Assert.False(receiving.IsCompleted);
        peer.Send([4, 5]);
        Assert.Equal(2, await receiving.AsTask().WaitAsync(s_patience, Token));
        Assert.Equal([4, 5], bytes[..2]);

        // What fits the buffer to the last byte may have left more behind; the end comes right after it.
        peer.Send([1, 2, 3, 4, 5, 6, 7, 8, 9]);
        peer.Shutdown(SocketShutdown.Send);
        int[] received = [await ReceiveAsync(), await ReceiveAsync(), await ReceiveAsync()];
        Assert.Equal(9, received.Sum());
        Assert.Equal(0, received[2]);

        async Task<int> ReceiveAsync() =>
            await line.ReceiveAsync(bytes, Token).AsTask().WaitAsync(s_patience, Token);
    }

    [Fact]
    public async Task More_than_the_network_takes_at_once_is_sent_when_it_takes_it()
    {
        using TcpLine line = await TcpLine.ConnectAsync("127.0.0.1", Port, Token);
        using Socket peer = await _listener.AcceptSocketAsync(Token);
        byte[] bytes = new byte[32 << 20];
        Task sending = Task.Run(
            async () =>
            {
                for (ReadOnlyMemory<byte> left = bytes; !left.IsEmpty; )
                    left = left[await line.SendAsync(left, Token)..];
            },
            Token
        );

        long received = 0;
        byte[] buffer = new byte[1 << 20];
        while (received < bytes.Length)
            received += await peer.ReceiveAsync(buffer, Token);
        await sending.WaitAsync(s_patience, Token);
    }

    [Fact]
    public async Task A_receive_is_given_up_and_the_next_one_gets_what_came_later()
    {
        using TcpLine line = await TcpLine.ConnectAsync("127.0.0.1", Port, Token);
        using Socket peer = await _listener.AcceptSocketAsync(Token);
        byte[] bytes = new byte[8];
        using CancellationTokenSource stop = new();
        Task<int> receiving = line.ReceiveAsync(bytes, stop.Token).AsTask();

        await stop.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => receiving.WaitAsync(s_patience, Token));

        peer.Send([7]);
        Assert.Equal(1, await line.ReceiveAsync(bytes, Token).AsTask().WaitAsync(s_patience, Token));
    }

    [Fact]
    public async Task A_port_that_refuses_is_told_at_once()
    {
        int port = Port;
        _listener.Stop();

        SocketException refused = await Assert.ThrowsAsync<SocketException>(() =>
            TcpLine.ConnectAsync("127.0.0.1", port, Token).WaitAsync(s_patience, Token)
        );
        Assert.Equal(SocketError.ConnectionRefused, refused.SocketErrorCode);
    }

    [Fact]
    public async Task A_connection_that_breaks_is_told_by_what_broke_it()
    {
        using TcpLine line = await TcpLine.ConnectAsync("127.0.0.1", Port, Token);
        Socket peer = await _listener.AcceptSocketAsync(Token);
        Task<int> receiving = line.ReceiveAsync(new byte[8], Token).AsTask();

        peer.LingerState = new LingerOption(enable: true, seconds: 0); // a reset instead of a goodbye
        peer.Dispose();

        SocketException broken = await Assert.ThrowsAsync<SocketException>(() =>
            receiving.WaitAsync(s_patience, Token)
        );
        Assert.Equal(SocketError.ConnectionReset, broken.SocketErrorCode);
    }
}
