using System.Runtime.CompilerServices;

namespace Dancerwatch.VirtualMachine.EtherNetIp.Encapsulation;

/// <summary>Cuts a TCP stream into frames, wherever the network cut it. Allocates nothing once it has seen the longest frame.</summary>
internal sealed class FrameReader(Stream stream)
{
    private byte[] _buffer = new byte[1024];
    private int _start;
    private int _end;

    /// <summary>The next frame, header included, valid until the next call; empty at the stream's end.</summary>
    [AsyncMethodBuilder(typeof(PoolingAsyncValueTaskMethodBuilder<>))]
    public async ValueTask<ReadOnlyMemory<byte>> ReadAsync(CancellationToken cancellation)
    {
        if (!await FillAsync(EncapsulationHeader.Length, cancellation))
            return default;
        int length =
            EncapsulationHeader.Length
            + EncapsulationHeader.Read(_buffer.AsSpan(_start, EncapsulationHeader.Length)).DataLength;
        if (!await FillAsync(length, cancellation))
            return default;
        ReadOnlyMemory<byte> frame = _buffer.AsMemory(_start, length);
        _start += length;
        return frame;
    }

    [AsyncMethodBuilder(typeof(PoolingAsyncValueTaskMethodBuilder<>))]
    private async ValueTask<bool> FillAsync(int count, CancellationToken cancellation)
    {
        if (_buffer.Length - _start < count)
            MakeRoom(count);
        while (_end - _start < count)
        {
            int read = await stream.ReadAsync(_buffer.AsMemory(_end), cancellation);
            if (read == 0)
                return false;
            _end += read;
        }
        return true;
    }

    private void MakeRoom(int count)
    {
        byte[] target = _buffer.Length >= count ? _buffer : new byte[count];
        _buffer.AsSpan(_start, _end - _start).CopyTo(target);
        (_buffer, _end, _start) = (target, _end - _start, 0);
    }
}
