using System.Buffers.Binary;
using System.Numerics;

namespace Dancerwatch.EdgeAgent.Outbox.Segments;

/// <summary>
/// CRC-32C (Castagnoli; polynomial 0x1EDC6F41 reflected, as in RFC 3720), by the processor's own instruction where it has
/// one. Finds every burst of up to 32 bits; misses one random corruption in 2^32.
/// </summary>
internal static class Checksum
{
    public static uint Of(ReadOnlySpan<byte> bytes)
    {
        uint sum = ~0u;
        for (; bytes.Length >= sizeof(ulong); bytes = bytes[sizeof(ulong)..])
            sum = BitOperations.Crc32C(sum, BinaryPrimitives.ReadUInt64LittleEndian(bytes));
        foreach (byte rest in bytes)
            sum = BitOperations.Crc32C(sum, rest);
        return ~sum;
    }
}
