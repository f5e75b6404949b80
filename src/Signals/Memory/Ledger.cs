using System.Buffers;
using System.Diagnostics.CodeAnalysis;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Text;

namespace Dancerwatch.Signals.Memory;

/// <summary>
/// Carries the memory of the mathematics to bytes and back. Each class lists its fields once, in a method <c>Keep</c>:
/// <c>_count = ledger.Keep(_count)</c> writes the field and gives it back while saving, and gives what was written while
/// restoring, so the two ways cannot differ. Nothing is reflected upon; what is allocated is what is read.
/// </summary>
/// <remarks>
/// Bytes are those of the machine's memory, little-endian. Each class opens with a tag, each array with its length, so that
/// another layout is found where it begins to differ. Times are carried on the clock of the one who saved and shifted to that
/// of the one who restores. Every refusal is an <see cref="InvalidDataException"/>.
/// </remarks>
internal sealed class Ledger
{
    private readonly IBufferWriter<byte>? _into;
    private readonly ReadOnlyMemory<byte> _from;
    private readonly long _shiftTicks;
    private int _at;

    /// <summary>Saves.</summary>
    public Ledger(IBufferWriter<byte> into) => _into = into;

    /// <summary>Restores.</summary>
    /// <param name="from">What was saved.</param>
    /// <param name="shiftTicks">The clock of now less the clock of then, ticks of 100 ns.</param>
    public Ledger(ReadOnlyMemory<byte> from, long shiftTicks)
    {
        _from = from;
        _shiftTicks = shiftTicks;
        ShiftSeconds = (double)shiftTicks / TimeSpan.TicksPerSecond;
    }

    /// <summary>Fields are to be filled; else they are read.</summary>
    public bool Restores => _into is null;

    /// <summary>The clock of now less the clock of then, s; 0 while saving.</summary>
    public double ShiftSeconds { get; }

    /// <summary>Opens what one class keeps.</summary>
    /// <param name="tag">Four letters.</param>
    public void Open(ReadOnlySpan<byte> tag)
    {
        Span<byte> found = stackalloc byte[4];
        tag.CopyTo(found);
        Bytes(found);
        if (!found.SequenceEqual(tag))
            throw Refused($"part '{Encoding.ASCII.GetString(tag)}' is not where this version expects it");
    }

    /// <summary>Nothing may be left.</summary>
    public void Close() => Demand(!Restores || _at == _from.Length, "it is longer than this version writes");

    /// <summary>A number, a flag, or a struct of such.</summary>
    public T Keep<T>(T value)
        where T : unmanaged
    {
        Bytes(MemoryMarshal.AsBytes(new Span<T>(ref value)));
        return value;
    }

    /// <summary>A number that must lie within bounds, both included: an index, a count.</summary>
    public int Keep(int value, int least, int most)
    {
        value = Keep(value);
        if (value < least || value > most)
            throw Refused($"{value} stands where {least} to {most} is allowed");
        return value;
    }

    /// <summary>A count that goes on: half of what an int holds is left, 34 years at one a second.</summary>
    public int Count(int value) => Keep(value, 0, 1 << 30);

    /// <summary>A value of an enumeration that runs from 0.</summary>
    /// <param name="last">The largest there is.</param>
    public T Keep<T>(T value, T last)
        where T : unmanaged, Enum
    {
        value = Keep(value);
        int number = Unsafe.As<T, int>(ref value);
        if (number < 0 || number > Unsafe.As<T, int>(ref last))
            throw Refused($"{number} stands where 0 to {Unsafe.As<T, int>(ref last)} is allowed");
        return value;
    }

    /// <summary>An array of fixed length, in place.</summary>
    public void Keep<T>(Span<T> values)
        where T : unmanaged
    {
        int length = Keep(values.Length);
        if (length != values.Length)
            throw Refused($"a table has {length} places, this version's {values.Length}");
        Bytes(MemoryMarshal.AsBytes(values));
    }

    /// <summary>A monotonic time, ticks of 100 ns.</summary>
    public long Ticks(long ticks) => unchecked(Keep(ticks) + _shiftTicks);

    /// <summary>A monotonic time, s; NaN and infinities stay.</summary>
    public double Seconds(double seconds) => Keep(seconds) + ShiftSeconds;

    /// <summary>A text.</summary>
    public string Text(string text)
    {
        int length = Keep(Encoding.UTF8.GetByteCount(text));
        if (!Restores)
        {
            Encoding.UTF8.GetBytes(text, _into!);
            return text;
        }
        Demand(length >= 0 && length <= _from.Length - _at, "it ends within a text");
        _at += length;
        return Encoding.UTF8.GetString(_from.Span.Slice(_at - length, length));
    }

    /// <summary>Refuses the snapshot where something is not as it must be.</summary>
    /// <exception cref="InvalidDataException"><paramref name="isKept"/> is false.</exception>
    public static void Demand([DoesNotReturnIf(false)] bool isKept, string why)
    {
        if (!isKept)
            throw Refused(why);
    }

    private static InvalidDataException Refused(string why) => new(why);

    /// <summary>Puts bytes into the snapshot, or takes as many out of it.</summary>
    public void Bytes(Span<byte> bytes)
    {
        if (!Restores)
        {
            _into!.Write(bytes);
            return;
        }
        Demand(bytes.Length <= _from.Length - _at, "it ends too early");
        _from.Span.Slice(_at, bytes.Length).CopyTo(bytes);
        _at += bytes.Length;
    }
}
