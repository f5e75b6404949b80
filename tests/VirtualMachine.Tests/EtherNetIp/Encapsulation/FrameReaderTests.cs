using Dancerwatch.VirtualMachine.EtherNetIp.Encapsulation;
using Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip;

namespace Dancerwatch.VirtualMachine.Tests.EtherNetIp.Encapsulation;

public sealed class FrameReaderTests
{
    private static readonly byte[][] s_frames =
    [
        Bytes.RegisterSession(),
        Bytes.Frame(0x00, 0, []),
        Bytes.SendRRData(1, Bytes.ReadTag("Tea1.DancerGap")),
        Bytes.Frame(0x70, 1, new byte[3000]),
        Bytes.RegisterSession(),
    ];

    [Fact]
    public async Task Frames_are_found_wherever_the_stream_is_cut()
    {
        byte[] all = [.. s_frames.SelectMany(frame => frame)];

        for (int cut = 1; cut < all.Length; cut++)
            await FramesComeOut(new ChunkedStream(all, [cut, all.Length - cut]));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(23)]
    [InlineData(1021)]
    public async Task Frames_are_found_in_a_stream_of_small_pieces(int size)
    {
        byte[] all = [.. s_frames.SelectMany(frame => frame)];

        await FramesComeOut(new ChunkedStream(all, [.. Enumerable.Repeat(size, (all.Length / size) + 1)]));
    }

    [Fact]
    public async Task The_end_within_a_frame_is_the_end()
    {
        FrameReader reader = new(new ChunkedStream(Bytes.RegisterSession()[..27], [27]));

        Assert.True((await reader.ReadAsync(TestContext.Current.CancellationToken)).IsEmpty);
    }

    private static async Task FramesComeOut(Stream stream)
    {
        FrameReader reader = new(stream);
        foreach (byte[] frame in s_frames)
        {
            ReadOnlyMemory<byte> read = await reader.ReadAsync(TestContext.Current.CancellationToken);
            Assert.True(frame.AsSpan().SequenceEqual(read.Span));
        }
        Assert.True((await reader.ReadAsync(TestContext.Current.CancellationToken)).IsEmpty);
    }

    /// <summary>Hands out bytes in pieces of given sizes, as a network may.</summary>
    private sealed class ChunkedStream(byte[] bytes, int[] sizes) : MemoryStream(bytes)
    {
        private readonly Queue<int> _sizes = new(sizes);

        public override ValueTask<int> ReadAsync(
            Memory<byte> buffer,
            CancellationToken cancellationToken = default
        )
        {
            if (Position == Length)
                return ValueTask.FromResult(0);
            int size = Math.Min(_sizes.Peek(), buffer.Length);
            int left = _sizes.Dequeue() - size;
            if (left > 0)
                _sizes.Enqueue(left); // pieces are of one size, or two: order does not matter
            return ValueTask.FromResult(Read(buffer.Span[..size]));
        }
    }
}
