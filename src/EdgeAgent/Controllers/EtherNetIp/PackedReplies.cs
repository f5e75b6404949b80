using System.Buffers.Binary;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>
/// The replies inside the reply to a Multiple Service Packet: count (2), an offset for each (2, from the count), and the
/// replies, each up to the next one's offset.
/// </summary>
internal readonly ref struct PackedReplies
{
    private readonly ReadOnlySpan<byte> _data;
    private readonly int _count;

    private PackedReplies(ReadOnlySpan<byte> data, int count)
    {
        _data = data;
        _count = count;
    }

    /// <returns>False where there are not <paramref name="expected"/> replies, or the offsets lead nowhere.</returns>
    public static bool TryParse(ReadOnlySpan<byte> data, int expected, out PackedReplies replies)
    {
        replies = new PackedReplies(data, expected);
        if (!BinaryPrimitives.TryReadUInt16LittleEndian(data, out ushort count) || count != expected)
            return false;
        int earliest = 2 + (2 * expected);
        if (data.Length < earliest)
            return false;
        for (int i = 0; i < expected; i++)
        {
            int offset = replies.Offset(i);
            if (offset < earliest || offset > data.Length)
                return false;
            earliest = offset;
        }
        return true;
    }

    public ReadOnlySpan<byte> this[int index]
    {
        get
        {
            int next = index + 1 == _count ? _data.Length : Offset(index + 1);
            return _data[Offset(index)..next];
        }
    }

    private int Offset(int index) => BinaryPrimitives.ReadUInt16LittleEndian(_data[(2 + (2 * index))..]);
}
