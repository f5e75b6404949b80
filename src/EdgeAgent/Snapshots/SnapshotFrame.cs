using System.Buffers;
using System.Buffers.Binary;
using Dancerwatch.EdgeAgent.Outbox.Segments;
using Dancerwatch.Signals;

namespace Dancerwatch.EdgeAgent.Snapshots;

/// <summary>
/// What stands about a machine's memory on disk: mark, version, fingerprint of the machine's configuration, wall clock of the
/// last reading, length; then the memory; then the CRC-32C of all that. Little-endian.
/// </summary>
internal static class SnapshotFrame
{
    private const ulong Mark = 0x59524F4D454D5744; // "DWMEMORY"
    private const int VersionAt = sizeof(ulong);
    private const int FingerprintAt = VersionAt + sizeof(int);
    private const int MillisecondsAt = FingerprintAt + MachineFingerprint.Length;
    private const int HeadLength = MillisecondsAt + sizeof(long) + sizeof(int);

    /// <summary>No machine's memory takes more, bytes.</summary>
    public const int MostBytes = 64 << 20;

    /// <summary>Writes a whole snapshot.</summary>
    /// <param name="milliseconds">Wall clock of the last reading, ms since 1970-01-01 UTC.</param>
    public static void Write(
        ArrayBufferWriter<byte> into,
        ReadOnlySpan<byte> fingerprint,
        long milliseconds,
        ReadOnlySpan<byte> memory
    )
    {
        Span<byte> head = into.GetSpan(HeadLength)[..HeadLength];
        BinaryPrimitives.WriteUInt64LittleEndian(head, Mark);
        BinaryPrimitives.WriteInt32LittleEndian(head[VersionAt..], MachineAssessor.SnapshotVersion);
        fingerprint.CopyTo(head[FingerprintAt..]);
        BinaryPrimitives.WriteInt64LittleEndian(head[MillisecondsAt..], milliseconds);
        BinaryPrimitives.WriteInt32LittleEndian(head[(MillisecondsAt + sizeof(long))..], memory.Length);
        into.Advance(HeadLength);
        into.Write(memory);
        uint sum = Checksum.Of(into.WrittenSpan);
        BinaryPrimitives.WriteUInt32LittleEndian(into.GetSpan(sizeof(uint)), sum);
        into.Advance(sizeof(uint));
    }

    /// <summary>The memory in a snapshot, and when it was.</summary>
    /// <exception cref="InvalidDataException">It is not whole, or not of this version and configuration; the message says which.</exception>
    public static (ReadOnlyMemory<byte> Memory, long Milliseconds) Read(
        ReadOnlyMemory<byte> snapshot,
        ReadOnlySpan<byte> fingerprint
    )
    {
        ReadOnlySpan<byte> bytes = snapshot.Span;
        if (
            bytes.Length < HeadLength + sizeof(uint)
            || BinaryPrimitives.ReadUInt64LittleEndian(bytes) != Mark
        )
            throw new InvalidDataException("it is no snapshot, or was cut off");
        int version = BinaryPrimitives.ReadInt32LittleEndian(bytes[VersionAt..]);
        if (version != MachineAssessor.SnapshotVersion)
            throw new InvalidDataException(
                $"it is of version {version}, and this program reads version {MachineAssessor.SnapshotVersion}"
            );
        int length = BinaryPrimitives.ReadInt32LittleEndian(bytes[(MillisecondsAt + sizeof(long))..]);
        if (
            length != bytes.Length - HeadLength - sizeof(uint)
            || Checksum.Of(bytes[..^sizeof(uint)])
                != BinaryPrimitives.ReadUInt32LittleEndian(bytes[^sizeof(uint)..])
        )
            throw new InvalidDataException("its bytes are not as they were written");
        if (!bytes.Slice(FingerprintAt, fingerprint.Length).SequenceEqual(fingerprint))
            throw new InvalidDataException("the machine is configured otherwise since");
        return (
            snapshot.Slice(HeadLength, length),
            BinaryPrimitives.ReadInt64LittleEndian(bytes[MillisecondsAt..])
        );
    }
}
