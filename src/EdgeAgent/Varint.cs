using System.Buffers;

namespace Dancerwatch.EdgeAgent;

/// <summary>
/// Whole numbers in as many bytes as they need, seven bits each, lowest first, the eighth set where another byte follows (LEB128);
/// those with a sign zigzag about zero, so that small ones stay short. Journals, Parquet and protocol buffers write them so.
/// </summary>
internal static class Varint
{
    private const int LongestBytes = 10;

    public static void Write(IBufferWriter<byte> into, ulong value)
    {
        Span<byte> bytes = into.GetSpan(LongestBytes);
        int length = 0;
        for (; value >= 0x80; value >>= 7)
            bytes[length++] = (byte)(value | 0x80);
        bytes[length++] = (byte)value;
        into.Advance(length);
    }

    /// <param name="at">Where it stands; becomes where the next thing does.</param>
    /// <param name="mostBytes">A longer one is none.</param>
    /// <returns>False where none stands there.</returns>
    public static bool TryRead(ReadOnlySpan<byte> bytes, ref int at, int mostBytes, out ulong value)
    {
        value = 0;
        for (int i = 0; i < mostBytes && at < bytes.Length; i++)
        {
            byte next = bytes[at++];
            value |= (ulong)(next & 0x7F) << (7 * i);
            if (next < 0x80)
                return true;
        }
        return false;
    }

    public static bool TryRead(ReadOnlySpan<byte> bytes, ref int at, out ulong value) =>
        TryRead(bytes, ref at, LongestBytes, out value);

    public static ulong ZigZag(long value) => (ulong)((value << 1) ^ (value >> 63));

    public static long ZagZig(ulong value) => (long)(value >> 1) ^ -(long)(value & 1);
}
