using System.Buffers;
using System.Buffers.Binary;
using System.Text;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Recording.Journal;

/// <summary>
/// Appends readings to a file as they come, a block at a time: mark, CRC-32C, length, content. A process that is killed in the
/// middle leaves all blocks but the last. Nothing is flushed to disk: a journal lives for a quarter of an hour, and the
/// operating system writes it when it suits. One thread.
/// </summary>
internal sealed class JournalWriter : IDisposable
{
    private readonly FileStream _file;
    private readonly IReadOnlyList<Signal> _signals;
    private readonly ArrayBufferWriter<byte> _block = new();
    private readonly long[] _last;

    /// <exception cref="IOException">It cannot be made, or is there.</exception>
    public JournalWriter(string path, long run, IReadOnlyList<Signal> signals)
    {
        _signals = signals;
        _last = new long[signals.Count];
        _file = new FileStream(
            path,
            FileMode.CreateNew,
            FileAccess.Write,
            FileShare.ReadWrite | FileShare.Delete,
            bufferSize: 0
        );
        try
        {
            BeginBlock(JournalBlock.Head);
            Varint.Write(_block, (ulong)run);
            Text(string.Join(' ', signals.Select(signal => signal.Code())));
            EndBlock();
        }
        catch
        {
            _file.Dispose();
            File.Delete(path);
            throw;
        }
    }

    /// <summary>Bytes written.</summary>
    public long Length { get; private set; }

    /// <summary>Appends a batch as one block.</summary>
    public void Append(ReadingBatch batch)
    {
        BeginBlock(JournalBlock.Readings);
        Varint.Write(_block, (ulong)batch.Count);
        Array.Clear(_last);
        long lastTicks = 0;
        long lastAhead = 0;
        for (int row = 0; row < batch.Count; row++)
        {
            long ticks = batch.TickColumn[row];
            // The wall clock keeps its distance from the monotonic one, to a microsecond, until it is set.
            long ahead = batch.TimeColumn[row] - (ticks / TimeSpan.TicksPerMicrosecond);
            Varint.Write(_block, (ulong)(ticks - lastTicks));
            Varint.Write(_block, Varint.ZigZag(ahead - lastAhead));
            (lastTicks, lastAhead) = (ticks, ahead);
            AppendValues(batch, row);
        }
        EndBlock();
    }

    /// <summary>Appends that something happened that the black box is for.</summary>
    public void Append(BlackBoxMark mark)
    {
        BeginBlock(JournalBlock.Mark);
        Varint.Write(_block, (ulong)mark.Ticks);
        Varint.Write(_block, Varint.ZigZag(mark.Microseconds));
        Text(mark.What);
        EndBlock();
    }

    public void Dispose() => _file.Dispose();

    /// <summary>Quality, which values are others than in the row before, and those.</summary>
    private void AppendValues(ReadingBatch batch, int row)
    {
        Span<byte> start = _block.GetSpan(3 + (_signals.Count * sizeof(long)));
        int changed = 0;
        int at = 3;
        for (int i = 0; i < _signals.Count; i++)
        {
            long bits = BitConverter.DoubleToInt64Bits(batch.Column(_signals[i])[row]);
            if (bits == _last[i])
                continue;
            _last[i] = bits;
            changed |= 1 << i;
            BinaryPrimitives.WriteInt64LittleEndian(start[at..], bits);
            at += sizeof(long);
        }
        start[0] = (byte)batch.QualityColumn[row];
        BinaryPrimitives.WriteUInt16LittleEndian(start[1..], (ushort)changed);
        _block.Advance(at);
    }

    private void BeginBlock(JournalBlock kind)
    {
        _block.ResetWrittenCount();
        _block.Write(new byte[JournalBlocks.HeaderLength]);
        _block.Write([(byte)kind]);
    }

    private void EndBlock()
    {
        Span<byte> block = System.Runtime.InteropServices.MemoryMarshal.AsMemory(_block.WrittenMemory).Span;
        JournalBlocks.WriteHeader(block);
        _file.Write(block);
        Length += block.Length;
    }

    private void Text(string text)
    {
        byte[] bytes = Encoding.UTF8.GetBytes(text);
        Varint.Write(_block, (ulong)bytes.Length);
        _block.Write(bytes);
    }
}
