using System.Buffers;
using System.Buffers.Binary;
using System.Runtime.InteropServices;
using Dancerwatch.EdgeAgent.Outbox.Segments;
using Dancerwatch.Signals;

namespace Dancerwatch.EdgeAgent.Snapshots;

/// <summary>
/// What stands about a machine's memory on disk: mark, version, fingerprint of the machine's configuration, wall clock of the
/// last reading, number of the last event that the memory knows of, length; then the memory; then the CRC-32C of all that. Little-endian.
/// </summary>
internal static class SnapshotFrame
{
    private const ulong Mark = 0x59524F4D454D5744; // "DWMEMORY"
    private const int VersionAt = sizeof(ulong);
    private const int FingerprintAt = VersionAt + sizeof(int);
    private const int MillisecondsAt = FingerprintAt + MachineFingerprint.Length;
    private const int SequenceAt = MillisecondsAt + sizeof(long);
    private const int LengthAt = SequenceAt + sizeof(long);
    private const int HeadLength = LengthAt + sizeof(int);

    /// <summary>No machine's memory takes more, bytes.</summary>
    public const int MostBytes = 64 << 20;

    /// <summary>Leaves room for what stands before the memory, which is to follow.</summary>
    public static void Begin(ArrayBufferWriter<byte> snapshot)
    {
        snapshot.ResetWrittenCount();
        snapshot.GetSpan(HeadLength);
        snapshot.Advance(HeadLength);
    }

    /// <summary>Writes what stands about the memory, which is in.</summary>
    /// <param name="milliseconds">Wall clock of the last reading, ms since 1970-01-01 UTC.</param>
    /// <param name="sequence">Events up to this number are in the memory; of later ones some may be.</param>
    public static void End(
        ArrayBufferWriter<byte> snapshot,
        ReadOnlySpan<byte> fingerprint,
        long milliseconds,
        long sequence
    )
    {
        Span<byte> head = MemoryMarshal.AsMemory(snapshot.WrittenMemory).Span;
        BinaryPrimitives.WriteUInt64LittleEndian(head, Mark);
        BinaryPrimitives.WriteInt32LittleEndian(head[VersionAt..], MachineAssessor.SnapshotVersion);
        fingerprint.CopyTo(head[FingerprintAt..]);
        BinaryPrimitives.WriteInt64LittleEndian(head[MillisecondsAt..], milliseconds);
        BinaryPrimitives.WriteInt64LittleEndian(head[SequenceAt..], sequence);
        BinaryPrimitives.WriteInt32LittleEndian(head[LengthAt..], head.Length - HeadLength);
        uint sum = Checksum.Of(head);
        BinaryPrimitives.WriteUInt32LittleEndian(snapshot.GetSpan(sizeof(uint)), sum);
        snapshot.Advance(sizeof(uint));
    }

    /// <summary>The memory in a snapshot, when it was, and which events it knows of.</summary>
    /// <exception cref="InvalidDataException">It is not whole, or not of this version and configuration; the message says which.</exception>
    public static (ReadOnlyMemory<byte> Memory, long Milliseconds, long Sequence) Read(
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
        int length = BinaryPrimitives.ReadInt32LittleEndian(bytes[LengthAt..]);
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
            BinaryPrimitives.ReadInt64LittleEndian(bytes[MillisecondsAt..]),
            BinaryPrimitives.ReadInt64LittleEndian(bytes[SequenceAt..])
        );
    }
}
