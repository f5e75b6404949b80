using Dancerwatch.EdgeAgent.Controllers.EtherNetIp;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.EtherNetIp;

public sealed class ReplyParsingTests
{
    [Fact]
    public void A_reply_gives_its_service_status_extended_status_and_data()
    {
        Assert.True(CipReply.TryParse(Hex.Bytes("CC 00 FF 01 0521 2A00"), out CipReply reply));

        Assert.Equal(0x4C, reply.Service);
        Assert.Equal(0xFF, reply.Status);
        Assert.Equal(0x2105, reply.Extended);
        Assert.Equal([0x2A, 0x00], reply.Data.ToArray());
        Assert.Equal(
            "the index is beyond the end of the array (status 0xFF, extended 0x2105)",
            reply.Describe()
        );
    }

    [Theory]
    [InlineData("")]
    [InlineData("CC 00 00")]
    [InlineData("4C 00 00 00")] // a request
    [InlineData("CC 00 FF 02 0521")] // an extended status cut short
    public void What_is_no_reply_is_not_taken_for_one(string bytes) =>
        Assert.False(CipReply.TryParse(Hex.Bytes(bytes), out _));

    [Fact]
    public void Packed_replies_are_found_by_their_offsets()
    {
        Assert.True(
            PackedReplies.TryParse(
                Hex.Bytes("0200 0600 0C00 CC000500 FFFF CC000000"),
                2,
                out PackedReplies replies
            )
        );

        Assert.Equal(Hex.Bytes("CC000500FFFF"), replies[0].ToArray());
        Assert.Equal(Hex.Bytes("CC000000"), replies[1].ToArray());
    }

    [Theory]
    [InlineData("")]
    [InlineData("0200")]
    [InlineData("0100 0600")] // one reply too few
    [InlineData("0300 0800 0800 0800")] // one too many
    [InlineData("0200 0500 0600")] // into the offsets
    [InlineData("0200 0600 0700")] // beyond the end
    [InlineData("0200 0800 0600 FFFF")] // backwards
    public void Packed_replies_that_do_not_hold_together_are_refused(string data) =>
        Assert.False(PackedReplies.TryParse(Hex.Bytes(data), 2, out _));

    [Property]
    public bool Whatever_the_bytes_no_parser_throws(byte[] bytes, byte expected)
    {
        if (CipReply.TryParse(bytes, out CipReply reply))
            _ = reply.Describe();
        if (PackedReplies.TryParse(bytes, expected, out PackedReplies replies))
        {
            for (int i = 0; i < expected; i++)
                _ = replies[i];
        }
        return !CommonPacket.TryFind(bytes, CommonPacket.ConnectedData, out ReadOnlyMemory<byte> content)
            || content.Length < bytes.Length;
    }
}
