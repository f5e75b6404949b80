using System.Globalization;
using System.Text;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.Recorded;

public sealed class CsvCellTests
{
    private const string Letters = "0123456789012345678901234567890123456789.-+eE, aNTZ:";

    [Property(MaxTest = 2_000)]
    public void A_number_is_the_very_one_the_framework_reads(
        double number,
        float single,
        long digits,
        byte places
    )
    {
        string[] texts =
        [
            number.ToString("R", CultureInfo.InvariantCulture),
            number.ToString("E16", CultureInfo.InvariantCulture),
            ((double)single).ToString(CultureInfo.InvariantCulture),
            digits.ToString(CultureInfo.InvariantCulture),
            Pointed(digits, places % 25),
            Pointed(digits / 1_000, places % 17),
        ];

        Assert.All(texts, SameNumber);
    }

    [Property(MaxTest = 2_000)]
    public void What_is_nearly_a_number_is_one_where_the_framework_says_so(byte[] letters) =>
        SameNumber(string.Concat(letters.Take(24).Select(letter => Letters[letter % Letters.Length])).Trim());

    [Theory]
    [InlineData("5.")]
    [InlineData(".5")]
    [InlineData(".")]
    [InlineData("-")]
    [InlineData("-.5")]
    [InlineData("--5")]
    [InlineData("1.2.3")]
    [InlineData("-0")]
    [InlineData("+7")]
    [InlineData("9007199254740993")]
    [InlineData("999999999999999999")]
    [InlineData("9999999999999999999")]
    [InlineData("1e400")]
    [InlineData("1e99999999999999")]
    [InlineData("12,5")]
    [InlineData("NaN")]
    [InlineData("nan")]
    [InlineData("inf")]
    [InlineData("-Infinity")]
    [InlineData("0x10")]
    public void Odd_ways_to_write_a_number_are_taken_as_the_framework_takes_them(string text) =>
        SameNumber(text);

    [Theory]
    [InlineData("true", 1)]
    [InlineData("FALSE", 0)]
    public void True_and_false_are_numbers(string text, double expected)
    {
        Assert.True(CsvCell.TryNumber(Encoding.UTF8.GetBytes(text), out double value));
        Assert.Equal(expected, value);
    }

    [Property(MaxTest = 2_000)]
    public void Seconds_are_those_of_decimal_arithmetic(long digits, byte places)
    {
        string text = Pointed(digits, places % 12);
        decimal seconds = decimal.Parse(text, CultureInfo.InvariantCulture);

        Assert.Equal(
            Math.Abs(seconds) <= 100_000_000_000 ? (long)Math.Round(seconds * TimeSpan.TicksPerSecond) : null,
            CsvCell.Ticks(Encoding.UTF8.GetBytes(text))
        );
    }

    [Property(MaxTest = 2_000)]
    public void A_time_is_the_very_one_the_framework_reads(
        DateTime time,
        byte decimals,
        byte zone,
        byte spoil
    )
    {
        string fraction = (decimals % 9) switch
        {
            0 => "",
            1 => ".",
            int places => "." + new string('f', places - 1),
        };
        string text =
            time.ToString(
                $"yyyy-MM-dd{(spoil % 2 == 0 ? "'T'" : " ")}HH:mm:ss{fraction}",
                CultureInfo.InvariantCulture
            ) + new[] { "", "Z", "+01:00", "z", "-0030" }[zone % 5];
        if (spoil % 5 == 0)
            text = text.Remove(spoil % text.Length, 1).Insert(spoil % text.Length, "6");

        Assert.Equal(
            DateTimeOffset.TryParseExact(
                text,
                ["yyyy-MM-dd'T'HH:mm:ss.FFFFFFFK", "yyyy-MM-dd HH:mm:ss.FFFFFFFK"],
                CultureInfo.InvariantCulture,
                DateTimeStyles.AssumeUniversal | DateTimeStyles.AdjustToUniversal,
                out DateTimeOffset expected
            )
                ? expected
                : null,
            CsvCell.Time(Encoding.UTF8.GetBytes(text))
        );
    }

    private static void SameNumber(string text)
    {
        bool isNumber = double.TryParse(
            text,
            NumberStyles.Float,
            CultureInfo.InvariantCulture,
            out double expected
        );

        Assert.Equal(isNumber, CsvCell.TryNumber(Encoding.UTF8.GetBytes(text), out double value));
        if (isNumber)
            Assert.Equal(BitConverter.DoubleToInt64Bits(expected), BitConverter.DoubleToInt64Bits(value));
    }

    private static string Pointed(long digits, int places)
    {
        string text = digits.ToString(CultureInfo.InvariantCulture);
        int sign = text[0] == '-' ? 1 : 0;
        return text.Insert(sign + ((text.Length - sign) * places / 25), ".");
    }
}
