using System.Runtime.CompilerServices;
using Dancerwatch.EdgeAgent.Waiting;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>
/// Whole frames over a TCP connection, however the network cuts them. Allocates nothing per frame. Owns the connection.
/// </summary>
internal sealed class FrameStream(TcpLine line) : IDisposable
{
    // Twice the largest connection (4000 bytes): nothing this driver asks for is answered by more.
    private readonly byte[] _buffer = new byte[8192];
    private int _start;
    private int _end;

    /// <summary>Bytes that came and belong to no whole frame yet.</summary>
    private int Pending => _end - _start;

    [AsyncMethodBuilder(typeof(ReusingMethodBuilder))]
    public async ValueTask SendAsync(ReadOnlyMemory<byte> frame, CancellationToken cancellation)
    {
        while (!frame.IsEmpty)
        {
            int sent = await line.SendAsync(frame, cancellation);
            frame = frame[sent..];
        }
    }

    /// <summary>The next frame, which must answer <paramref name="command"/>.</summary>
    /// <exception cref="LinkException">What came is no such frame, or half of one, or the other side closed.</exception>
    /// <exception cref="OperationCanceledException">Cancelled before anything came.</exception>
    [AsyncMethodBuilder(typeof(ReusingMethodBuilder<>))]
    public async ValueTask<Frame> ReceiveAsync(EncapsulationCommand command, CancellationToken cancellation)
    {
        await FillToAsync(Encapsulation.HeaderLength, cancellation);
        int length = CheckHeader(command);
        await FillToAsync(length, cancellation);
        ReadOnlyMemory<byte> frame = _buffer.AsMemory(_start, length);
        _start += length;
        return Encapsulation.Parse(frame);
    }

    public void Dispose() => line.Dispose();

    private int CheckHeader(EncapsulationCommand command)
    {
        ReadOnlySpan<byte> header = _buffer.AsSpan(_start, Encapsulation.HeaderLength);
        if (Encapsulation.Command(header) != command)
            throw LinkException.Garbled($"a frame of command 0x{(ushort)Encapsulation.Command(header):X4}");
        int length = Encapsulation.HeaderLength + Encapsulation.BodyLength(header);
        if (length > _buffer.Length)
            throw LinkException.Garbled($"a frame of {length} bytes, more than was asked for");
        return length;
    }

    [AsyncMethodBuilder(typeof(ReusingMethodBuilder))]
    private async ValueTask FillToAsync(int length, CancellationToken cancellation)
    {
        try
        {
            while (Pending < length)
                await FillAsync(cancellation);
        }
        catch (OperationCanceledException) when (Pending > 0)
        {
            throw LinkException.Garbled($"{Pending} bytes of a frame, and then nothing");
        }
    }

    [AsyncMethodBuilder(typeof(ReusingMethodBuilder))]
    private async ValueTask FillAsync(CancellationToken cancellation)
    {
        _buffer.AsSpan(_start, Pending).CopyTo(_buffer);
        _end = Pending;
        _start = 0;
        int received = await line.ReceiveAsync(_buffer.AsMemory(_end), cancellation);
        if (received == 0 && Pending > 0)
            throw LinkException.Garbled($"{Pending} bytes of a frame, and then the end of the connection");
        if (received == 0)
        {
            throw new LinkException(
                TagStatus.NotRead,
                "closed the connection; it is opened again. If it goes on, check whether the controller restarts or has no connections left"
            );
        }
        _end += received;
    }
}
