using System.Buffers.Binary;
using System.Text;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Recording.Journal;

/// <summary>
/// Reads a journal up to its last whole block, also while it is being written. What comes after that was being written when
/// the process was ended, or is still. A block that does not hold what it says, though its checksum is right, is no whole one.
/// One thread.
/// </summary>
internal sealed class JournalReader : IDisposable
{
    /// <summary>A file that is no longer may just be begun, and hold nothing yet, bytes.</summary>
    private const long LongestBeginning = 4096;

    private static readonly Signal[] s_all = Enum.GetValues<Signal>();

    private readonly FileStream _file;
    private readonly List<BlackBoxMark> _marks = [];
    private readonly long[] _last;
    private byte[] _block = new byte[1024];
    private int _content;
    private int _at;
    private bool _hasBlock;

    /// <exception cref="IOException">It cannot be read, or has no beginning.</exception>
    public JournalReader(string path)
    {
        _file = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        try
        {
            if (NextBlock() && _block[JournalBlocks.HeaderLength] == (byte)JournalBlock.Head)
            {
                Run = (long)Unsigned();
                Signals = [.. Text().Split(' ').Select(SignalOf)];
                _hasBlock = NextBlock();
            }
            else if (_file.Length > LongestBeginning)
                throw new IOException("its beginning is missing");
        }
        catch (InvalidDataException e)
        {
            _file.Dispose();
            throw new IOException($"its beginning is damaged: {e.Message}", e);
        }
        catch
        {
            _file.Dispose();
            throw;
        }
        _last = new long[Signals.Count];
    }

    public long Run { get; }

    public IReadOnlyList<Signal> Signals { get; } = [];

    /// <summary>The marks read over so far.</summary>
    public IReadOnlyList<BlackBoxMark> Marks => _marks;

    /// <summary>Reads as many blocks as fit into a batch.</summary>
    /// <returns>False at the end.</returns>
    public bool TryRead(ReadingBatch into)
    {
        into.Begin(Run, Signals);
        while (_hasBlock)
        {
            int before = into.Count;
            try
            {
                if (!TryTakeBlock(into))
                    return true;
                _hasBlock = NextBlock();
            }
            catch (InvalidDataException)
            {
                into.Count = before;
                _hasBlock = false;
            }
        }
        return into.Count > 0;
    }

    public void Dispose() => _file.Dispose();

    /// <returns>False, and nothing is taken, where it does not fit any more.</returns>
    /// <exception cref="InvalidDataException">It does not hold what it says.</exception>
    private bool TryTakeBlock(ReadingBatch into)
    {
        switch ((JournalBlock)_block[JournalBlocks.HeaderLength])
        {
            case JournalBlock.Readings:
                int begin = _at;
                int rows = Length(ReadingBatch.Capacity);
                if (into.Count + rows > ReadingBatch.Capacity)
                {
                    _at = begin;
                    return false;
                }
                ReadRows(rows, into);
                return true;
            case JournalBlock.Mark:
                _marks.Add(new BlackBoxMark((long)Unsigned(), Varint.ZagZig(Unsigned()), Text()));
                return true;
            default:
                return true;
        }
    }

    private void ReadRows(int rows, ReadingBatch into)
    {
        Array.Clear(_last);
        long ticks = 0;
        long ahead = 0;
        for (int i = 0; i < rows; i++)
        {
            int row = into.Count++;
            ticks += (long)Unsigned();
            ahead += Varint.ZagZig(Unsigned());
            into.TickColumn[row] = ticks;
            into.TimeColumn[row] = (ticks / TimeSpan.TicksPerMicrosecond) + ahead;
            into.QualityColumn[row] = QualityOf(Take(1)[0]);
            int changed = BinaryPrimitives.ReadUInt16LittleEndian(Take(sizeof(ushort)));
            for (int signal = 0; signal < Signals.Count; signal++)
            {
                if ((changed & (1 << signal)) != 0)
                    _last[signal] = BinaryPrimitives.ReadInt64LittleEndian(Take(sizeof(long)));
                into.Column(Signals[signal])[row] = BitConverter.Int64BitsToDouble(_last[signal]);
            }
        }
    }

    /// <summary>Steps to the next block that is whole.</summary>
    private bool NextBlock()
    {
        Span<byte> header = _block.AsSpan(0, JournalBlocks.HeaderLength);
        if (_file.ReadAtLeast(header, header.Length, throwOnEndOfStream: false) < header.Length)
            return false;
        _content = JournalBlocks.LengthOf(header);
        if (_content < 0)
            return false;
        int length = JournalBlocks.HeaderLength + _content;
        if (_block.Length < length)
            Array.Resize(ref _block, length);
        Span<byte> content = _block.AsSpan(JournalBlocks.HeaderLength, _content);
        if (_file.ReadAtLeast(content, _content, throwOnEndOfStream: false) < _content)
            return false;
        _at = JournalBlocks.HeaderLength + 1;
        return JournalBlocks.IsWhole(_block.AsSpan(0, length));
    }

    private static Signal SignalOf(string code)
    {
        foreach (Signal signal in s_all)
        {
            if (signal.Code() == code)
                return signal;
        }
        throw new IOException($"it has a signal \"{code}\", which is not known here");
    }

    private static Quality QualityOf(byte code) =>
        code <= (byte)Quality.Bad
            ? (Quality)code
            : throw new InvalidDataException($"a reading of quality {code}, which is none");

    private string Text() => Encoding.UTF8.GetString(Take(Length(_content)));

    private int Length(int most)
    {
        ulong length = Unsigned();
        return length <= (ulong)most
            ? (int)length
            : throw new InvalidDataException($"{length} of what can be {most} at most");
    }

    private ReadOnlySpan<byte> Take(int length)
    {
        if (length > Block.Length - _at)
            throw new InvalidDataException("a block ends too early");
        _at += length;
        return Block.Slice(_at - length, length);
    }

    private ulong Unsigned() =>
        Varint.TryRead(Block, ref _at, out ulong value)
            ? value
            : throw new InvalidDataException("a block ends within a number");

    private ReadOnlySpan<byte> Block => _block.AsSpan(0, JournalBlocks.HeaderLength + _content);
}
