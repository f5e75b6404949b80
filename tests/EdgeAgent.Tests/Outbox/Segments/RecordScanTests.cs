using FsCheck;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Outbox.Segments;

public sealed class RecordScanTests
{
    [Property]
    public void What_was_written_is_read(NonNull<byte[]>[] contents)
    {
        byte[][] written = Contents(contents);

        var (found, damages, torn) = Records.In([.. Records.Of(written).SelectMany(record => record)]);

        Assert.Equal(written, found.Select(record => record.Content));
        Assert.Equal(Enumerable.Range(1, written.Length).Select(n => (long)n), found.Select(r => r.Sequence));
        Assert.Equal((0, true), (damages, torn));
    }

    [Property]
    public void Cut_off_anywhere_it_is_torn_and_the_whole_records_before_are_read(
        NonNull<byte[]>[] contents,
        NonNegativeInt cut
    )
    {
        byte[][] records = Records.Of(Contents(contents));
        byte[] bytes = [.. records.SelectMany(record => record)];
        int length = cut.Get % (bytes.Length + 1);
        int end = 0;
        int whole = records.TakeWhile(record => (end += record.Length) <= length).Count();

        var (found, damages, torn) = Records.In(bytes[..length]);

        Assert.Equal((whole, 0, true), (found.Count, damages, torn));
    }

    [Property]
    public void A_flipped_bit_costs_the_record_it_is_in_and_no_other(
        NonNull<byte[]>[] contents,
        NonNegativeInt place,
        byte bit
    )
    {
        byte[][] records = Records.Of(Contents(contents));
        if (records.Length == 0)
            return;
        byte[] bytes = [.. records.SelectMany(record => record)];
        int at = place.Get % bytes.Length;
        bytes[at] ^= (byte)(1 << (bit % 8));
        int end = 0;
        int hit = records.TakeWhile(record => (end += record.Length) <= at).Count();

        var (found, damages, torn) = Records.In(bytes);

        Assert.Equal(
            Enumerable.Range(1, records.Length).Where(n => n != hit + 1).Select(n => (long)n),
            found.Select(record => record.Sequence)
        );
        // At the end it is no gap between records, but bytes that nothing sound follows.
        if (hit < records.Length - 1)
            Assert.Equal((1, true), (damages, torn));
    }

    [Property]
    public void Any_bytes_are_survived_and_any_before_a_record_are_passed_over(
        byte[] rubbish,
        NonNull<byte[]> content
    )
    {
        rubbish ??= [];

        var (found, damages, _) = Records.In([.. rubbish, .. Records.Of(7, content.Get)]);

        Assert.Equal(7, Assert.Single(found).Sequence);
        Assert.Equal(rubbish.Length > 0 ? 1 : 0, damages);
    }

    [Fact]
    public void Space_that_was_never_written_is_torn_and_other_bytes_are_not()
    {
        byte[] record = Records.Of(1, [1, 2, 3]);

        Assert.True(Records.In([.. record, .. new byte[500]]).Torn);
        Assert.False(Records.In([.. record, .. new byte[500], 1]).Torn);
        Assert.False(Records.In([.. record, .. "tea"u8]).Torn);
    }

    [Fact]
    public void A_length_beyond_reason_is_damage_and_not_a_record_to_wait_for()
    {
        byte[] record = Records.Of(1, [1, 2, 3]);
        record[11] = 0x7F; // the length's highest byte

        Assert.False(Records.In(record).Torn);
    }

    private static byte[][] Contents(NonNull<byte[]>[] contents) =>
        [.. (contents ?? []).Select(content => content.Get)];
}
