using System.Text;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.Recorded;

public sealed class Utf8LinesTests
{
    [Property]
    public void Lines_are_those_the_framework_reads_however_the_text_comes_in(byte[] choices, byte piece)
    {
        string text = string.Concat(
            choices.Select(choice =>
                (choice % 6) switch
                {
                    0 => "\r",
                    1 => "\n",
                    2 => "\r\n",
                    3 => "é,\u00A0",
                    4 => "12",
                    // Longer than a block, at times.
                    _ => new string('x', choice * choice * 4),
                }
            )
        );

        Assert.Equal(Framework(text), Ours(new Trickle(Encoding.UTF8.GetBytes(text), (piece % 100) + 1)));
    }

    [Fact]
    public void A_mark_of_the_encoding_is_no_part_of_the_first_line_and_wide_letters_are_read()
    {
        foreach (
            Encoding encoding in new[]
            {
                Encoding.UTF8,
                Encoding.Unicode,
                Encoding.BigEndianUnicode,
                Encoding.UTF32,
                new UTF32Encoding(bigEndian: true, byteOrderMark: true),
            }
        )
        {
            byte[] bytes = [.. encoding.GetPreamble(), .. encoding.GetBytes("Füllung,µm\r\n1,2\n")];

            Assert.Equal(["Füllung,µm", "1,2"], Ours(new MemoryStream(bytes)));
        }
    }

    [Theory]
    [InlineData("a\nb", true)]
    [InlineData("a\nb\n", false)]
    [InlineData("a\nb\r", false)]
    [InlineData("a\nb\r\n", false)]
    public void The_last_line_is_cut_where_it_has_no_end(string text, bool isCut)
    {
        using Utf8Lines lines = new(new MemoryStream(Encoding.UTF8.GetBytes(text)));

        Assert.True(lines.TryRead(out _));
        Assert.False(lines.IsCut);
        Assert.True(lines.TryRead(out ArraySegment<byte> last));
        Assert.Equal("b"u8, last.AsSpan());
        Assert.Equal((isCut, 2), (lines.IsCut, lines.Number));
        Assert.False(lines.TryRead(out _));
    }

    [Theory]
    [InlineData(1, false)]
    [InlineData(0, false)]
    [InlineData(-1, true)]
    [InlineData(-50_000_000, true)]
    public void A_line_without_end_is_held_up_to_a_bound_and_the_next_is_read_whole(int less, bool isTooLong)
    {
        int length = Utf8Lines.Longest - less;
        using Utf8Lines lines = new(new Long(length));
        long before = GC.GetAllocatedBytesForCurrentThread();

        Assert.True(lines.TryRead(out ArraySegment<byte> first));
        Assert.Equal((isTooLong, Math.Min(length, Utf8Lines.Longest)), (lines.IsTooLong, first.Count));
        Assert.True(lines.TryRead(out ArraySegment<byte> next));
        Assert.Equal("next"u8, next.AsSpan());
        Assert.Equal((false, 2), (lines.IsTooLong, lines.Number));
        Assert.InRange(GC.GetAllocatedBytesForCurrentThread() - before, 0, 5 * Utf8Lines.Longest);
    }

    private static List<string> Framework(string text)
    {
        List<string> lines = [];
        using StringReader reader = new(text);
        while (reader.ReadLine() is { } line)
            lines.Add(line);
        return lines;
    }

    private static List<string> Ours(Stream text)
    {
        List<string> read = [];
        using Utf8Lines lines = new(text);
        while (lines.TryRead(out ArraySegment<byte> line))
            read.Add(Encoding.UTF8.GetString(line));
        return read;
    }

    /// <summary>A text that comes in pieces, as through a pipe.</summary>
    private sealed class Trickle(byte[] bytes, int piece) : MemoryStream(bytes)
    {
        public override bool CanSeek => false;

        public override int Read(byte[] buffer, int offset, int count) =>
            base.Read(buffer, offset, Math.Min(count, piece));
    }

    /// <summary>So many x, then a line end and "next".</summary>
    private sealed class Long(int length) : MemoryStream("\nnext\n"u8.ToArray())
    {
        private int _left = length;

        public override bool CanSeek => false;

        public override int Read(byte[] buffer, int offset, int count)
        {
            if (_left == 0)
                return base.Read(buffer, offset, count);
            int read = Math.Min(count, _left);
            buffer.AsSpan(offset, read).Fill((byte)'x');
            _left -= read;
            return read;
        }
    }
}
