using System.Buffers.Text;
using System.Globalization;
using System.Text;

namespace Dancerwatch.EdgeAgent.Controllers.Recorded;

/// <summary>
/// What a cell says: UTF-8 without blanks around. Each has a quick way for how it is usually written, and the framework's own for
/// every other. No culture has a say.
/// </summary>
internal static class CsvCell
{
    private const int DecimalsOfTicks = 7;

    /// <summary>10^0 to 10^18, all of which a double holds exactly.</summary>
    private static readonly long[] s_powersOfTen = [.. PowersOfTen()];

    private static readonly string[] s_timeFormats =
    [
        "yyyy-MM-dd'T'HH:mm:ss.FFFFFFFK",
        "yyyy-MM-dd HH:mm:ss.FFFFFFFK",
    ];

    /// <summary>A number; true and false are 1 and 0.</summary>
    public static bool TryNumber(ReadOnlySpan<byte> cell, out double value)
    {
        // Of two numbers that doubles hold exactly the quotient is rounded once, and so is the nearest double (W. D. Clinger,
        // How to Read Floating Point Numbers Accurately, 1990). A fifth of what the framework's way takes.
        const long exact = 1L << 53;
        if (TryDigits(cell, out bool isNegative, out long digits, out int decimals) && digits <= exact)
        {
            value = digits / (double)s_powersOfTen[decimals];
            value = isNegative ? -value : value;
            return true;
        }
        // The same numbers at half the cost of what follows, which knows a few more ways to write them.
        if (Utf8Parser.TryParse(cell, out value, out int used) && used == cell.Length)
            return true;
        if (double.TryParse(cell, NumberStyles.Float, CultureInfo.InvariantCulture, out value))
            return true;
        value = Ascii.EqualsIgnoreCase(cell, "true"u8) ? 1 : 0;
        return value == 1 || Ascii.EqualsIgnoreCase(cell, "false"u8);
    }

    /// <summary>
    /// Seconds as ticks of 100 ns, exactly where they have up to 7 decimals, else rounded; null where they are no number or
    /// more than 3000 years.
    /// </summary>
    public static long? Ticks(ReadOnlySpan<byte> cell)
    {
        const long longest = 100_000_000_000; // well within 64 bits of ticks
        if (
            TryDigits(cell, out bool isNegative, out long digits, out int decimals)
            && decimals <= DecimalsOfTicks
            && digits <= longest * s_powersOfTen[decimals]
        )
        {
            long ticks = digits * s_powersOfTen[DecimalsOfTicks - decimals];
            return isNegative ? -ticks : ticks;
        }
        return
            decimal.TryParse(cell, NumberStyles.Float, CultureInfo.InvariantCulture, out decimal seconds)
            && Math.Abs(seconds) <= longest
            ? (long)Math.Round(seconds * TimeSpan.TicksPerSecond)
            : null;
    }

    /// <summary>A moment as ISO 8601 has it, with up to 7 decimals of a second; without a zone it is UTC. Null where it is none.</summary>
    public static DateTimeOffset? Time(ReadOnlySpan<byte> cell)
    {
        if (TryUtc(cell, out DateTimeOffset utc))
            return utc;
        Span<char> text = stackalloc char[40];
        if (cell.Length > text.Length)
            return null;
        text = text[..Encoding.UTF8.GetChars(cell, text)];
        return DateTimeOffset.TryParseExact(
            text,
            s_timeFormats,
            CultureInfo.InvariantCulture,
            DateTimeStyles.AssumeUniversal | DateTimeStyles.AdjustToUniversal,
            out DateTimeOffset time
        )
            ? time
            : null;
    }

    /// <summary>2026-11-25T06:00:00.02Z: with a blank for the T or not, with the Z or not, with decimals or not.</summary>
    private static bool TryUtc(ReadOnlySpan<byte> cell, out DateTimeOffset utc)
    {
        utc = default;
        const int seconds = 19;
        if (!cell.IsEmpty && cell[^1] == 'Z')
            cell = cell[..^1];
        if (
            cell.Length is < seconds or > seconds + 1 + DecimalsOfTicks
            || cell[10] is not ((byte)'T' or (byte)' ')
        )
            return false;
        // Written out in full, it is the framework's round-trip format.
        Span<byte> full = stackalloc byte[28];
        "0000-00-00T00:00:00.0000000Z"u8.CopyTo(full);
        cell.CopyTo(full);
        full[10] = (byte)'T';
        return Utf8Parser.TryParse(full, out utc, out int used, 'O') && used == full.Length;
    }

    /// <summary>The digits of a number that has no more of them than 64 bits hold, and how many of them are decimals.</summary>
    private static bool TryDigits(
        ReadOnlySpan<byte> cell,
        out bool isNegative,
        out long digits,
        out int decimals
    )
    {
        const int most = 18;
        isNegative = !cell.IsEmpty && cell[0] == '-';
        (digits, decimals) = (0, 0);
        ReadOnlySpan<byte> number = isNegative ? cell[1..] : cell;
        if (number.Length > most + 1)
            return false;
        int point = -1;
        for (int i = 0; i < number.Length; i++)
        {
            int digit = number[i] - '0';
            if ((uint)digit <= 9)
                digits = (10 * digits) + digit;
            else if (number[i] == '.' && point < 0)
                point = i;
            else
                return false;
        }
        decimals = point < 0 ? 0 : number.Length - 1 - point;
        return point < 0 ? number.Length is > 0 and <= most : number.Length > 1;
    }

    private static IEnumerable<long> PowersOfTen()
    {
        const long greatest = 1_000_000_000_000_000_000;
        for (long power = 1; power < greatest; power *= 10)
            yield return power;
        yield return greatest;
    }
}
