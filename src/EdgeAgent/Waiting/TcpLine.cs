using System.Net;
using System.Net.Sockets;
using System.Runtime.CompilerServices;

namespace Dancerwatch.EdgeAgent.Waiting;

/// <summary>
/// A TCP connection whose waits are the poll thread's, where there is one; else the runtime's own, which takes two more
/// threads to each wait. One send or receive under way at a time. Allocates nothing once connected.
/// </summary>
internal sealed class TcpLine : IDisposable
{
    private readonly Socket _socket;
    private readonly PollThread? _thread;
    private readonly Readiness? _readiness;

    private TcpLine(Socket socket, PollThread? thread)
    {
        (_socket, _thread) = (socket, thread);
        socket.NoDelay = true;
        if (thread is null)
            return;
        socket.Blocking = false;
        _readiness = new Readiness(socket.SafeHandle);
    }

    /// <exception cref="SocketException">Nobody is there, by any of the host's addresses.</exception>
    /// <exception cref="OperationCanceledException"><paramref name="cancellation"/> was cancelled.</exception>
    public static async Task<TcpLine> ConnectAsync(string host, int port, CancellationToken cancellation)
    {
        IPAddress[] addresses = IPAddress.TryParse(host, out IPAddress? address)
            ? [address]
            : await Dns.GetHostAddressesAsync(host, cancellation);
        SocketException? failure = null;
        foreach (IPAddress one in addresses)
        {
            TcpLine line = new(
                new Socket(one.AddressFamily, SocketType.Stream, ProtocolType.Tcp),
                PollThread.Shared
            );
            try
            {
                await line.ConnectAsync(new IPEndPoint(one, port), cancellation);
                return line;
            }
            catch (SocketException refused)
            {
                line.Dispose();
                failure = refused;
            }
            catch
            {
                line.Dispose();
                throw;
            }
        }
        throw failure ?? new SocketException((int)SocketError.HostNotFound);
    }

    /// <returns>How many bytes were sent; at least one.</returns>
    public ValueTask<int> SendAsync(ReadOnlyMemory<byte> bytes, CancellationToken cancellation)
    {
        if (_readiness is null)
            return _socket.SendAsync(bytes, cancellation);
        int sent = _socket.Send(bytes.Span, SocketFlags.None, out SocketError error);
        return error switch
        {
            SocketError.Success => new ValueTask<int>(sent),
            SocketError.WouldBlock => SendLaterAsync(bytes, cancellation),
            _ => throw new SocketException((int)error),
        };
    }

    /// <returns>How many bytes came; 0 where the other side has closed.</returns>
    public ValueTask<int> ReceiveAsync(Memory<byte> into, CancellationToken cancellation) =>
        _readiness is null
            ? _socket.ReceiveAsync(into, cancellation)
            : ReceiveAsync(_readiness, into, cancellation);

    public void Dispose()
    {
        if (_readiness is not null)
            _thread!.Remove(_readiness);
        _socket.Dispose();
    }

    private async Task ConnectAsync(IPEndPoint where, CancellationToken cancellation)
    {
        if (_readiness is null)
        {
            await _socket.ConnectAsync(where, cancellation);
            return;
        }
        try
        {
            _socket.Connect(where);
        }
        catch (SocketException begun) when (begun.SocketErrorCode == SocketError.WouldBlock) { }
        // Not before: a socket that is not connecting counts as over.
        _thread!.Add(_readiness);
        while (!_readiness.IsOver && !_socket.Poll(0, SelectMode.SelectWrite))
            await _readiness.WaitAsync(cancellation);
        if (_socket.GetSocketOption(SocketOptionLevel.Socket, SocketOptionName.Error) is int error and not 0)
            throw new SocketException(error);
    }

    [AsyncMethodBuilder(typeof(ReusingMethodBuilder<>))]
    private async ValueTask<int> SendLaterAsync(ReadOnlyMemory<byte> bytes, CancellationToken cancellation)
    {
        while (true)
        {
            await _readiness!.WaitAsync(cancellation);
            int sent = _socket.Send(bytes.Span, SocketFlags.None, out SocketError error);
            if (error == SocketError.Success)
                return sent;
            if (error != SocketError.WouldBlock || _readiness.IsOver)
                throw new SocketException((int)SocketError.ConnectionReset);
        }
    }

    // Nothing is asked of the socket before it has something: a question in vain costs as much as an answer.
    [AsyncMethodBuilder(typeof(ReusingMethodBuilder<>))]
    private async ValueTask<int> ReceiveAsync(
        Readiness readiness,
        Memory<byte> into,
        CancellationToken cancellation
    )
    {
        while (true)
        {
            await readiness.WaitAsync(cancellation);
            int received = _socket.Receive(into.Span, SocketFlags.None, out SocketError error);
            if (error == SocketError.Success)
            {
                // A full buffer may have left some behind, which nobody tells of again.
                if (received == into.Length)
                    readiness.Wake();
                return received;
            }
            if (error != SocketError.WouldBlock)
                throw new SocketException((int)error);
        }
    }
}
