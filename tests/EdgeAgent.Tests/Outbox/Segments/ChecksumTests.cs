using Dancerwatch.EdgeAgent.Outbox.Segments;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Outbox.Segments;

public sealed class ChecksumTests
{
    [Fact]
    public void The_check_value_of_the_catalogue_comes_out() =>
        // CRC-32/ISCSI: check="123456789" gives 0xE3069283 (catalogue of parametrised CRC algorithms, from memory).
        Assert.Equal(0xE306_9283u, Checksum.Of("123456789"u8));

    [Theory]
    // RFC 3720, appendix B.4 (from memory; the bit-by-bit sum below agrees).
    [InlineData(0x00, 0x8A91_36AAu)]
    [InlineData(0xFF, 0x62A8_AB43u)]
    public void The_examples_of_the_standard_come_out(byte of32, uint expected) =>
        Assert.Equal(expected, Checksum.Of(Enumerable.Repeat(of32, 32).ToArray()));

    [Property]
    public void It_is_the_sum_taken_bit_by_bit(byte[] bytes) =>
        Assert.Equal(BitByBit(bytes), Checksum.Of(bytes));

    private static uint BitByBit(byte[] bytes)
    {
        uint sum = ~0u;
        foreach (byte next in bytes)
        {
            sum ^= next;
            for (int bit = 0; bit < 8; bit++)
                sum = (sum & 1) != 0 ? (sum >> 1) ^ 0x82F6_3B78u : sum >> 1;
        }
        return ~sum;
    }
}
