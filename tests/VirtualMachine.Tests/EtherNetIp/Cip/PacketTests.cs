using System.Buffers.Binary;
using static Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip.Bytes;

namespace Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip;

/// <summary>Multiple Service Packet (CIP volume 1, appendix A, from memory).</summary>
public sealed class PacketTests
{
    private readonly Conversation _plc = new();

    public PacketTests()
    {
        _plc.Table.AddInt("Gap").Value = 0x1234;
        _plc.Table.AddReal("Speed").Value = 1.5f;
        _plc.Table.AddDints("Weights", 100);
    }

    [Fact]
    public void Each_request_gets_its_own_reply_at_its_offset() =>
        Assert.Equal(
            "8A000000" + "0200" + "0600" + "0E00" + "CC000000C3003412" + "CC000000CA000000C03F",
            _plc.AskHex(Packet(ReadTag("Gap"), ReadTag("Speed")))
        );

    [Fact]
    public void One_missing_tag_spoils_nothing_else() =>
        Assert.Equal(
            "8A001E00" + "0200" + "0600" + "0C00" + "CC0004010000" + "CC000000C3003412",
            _plc.AskHex(Packet(ReadTag("Missing"), ReadTag("Gap")))
        );

    [Fact]
    public void Replies_share_the_room_there_is_and_each_tells_what_it_lacks()
    {
        byte[] reply = _plc.Ask(
            Packet([.. Enumerable.Range(0, 8).Select(_ => ReadTag("Weights", 100)), ReadTag("Gap")])
        );

        Assert.InRange(reply.Length, 480, 504);
        Assert.Equal(0x1E, reply[2]);
        byte[] statuses = [.. Replies(reply).Select(one => one[2])];
        Assert.Equal([0, 6, 6, 6, 6, 6, 6, 6, 0], statuses); // 400 bytes fit once, and two fit what is left
        Assert.All(Replies(reply), one => Assert.True(one.Length >= 4));
    }

    [Fact]
    public void More_requests_than_there_is_room_for_heads_of_replies_are_refused() =>
        Assert.Equal(
            "8A001100",
            _plc.AskHex(Packet([.. Enumerable.Repeat(Request(0x01, Hex("2001"), []), 80)]))
        );

    [Fact]
    public void A_packet_in_a_packet_is_refused_and_the_rest_is_served()
    {
        byte[] reply = _plc.Ask(Packet(Packet(ReadTag("Gap")), ReadTag("Gap")));

        Assert.Equal(["8A000800", "CC000000C3003412"], Replies(reply).Select(Convert.ToHexString));
    }

    [Theory]
    [InlineData("")]
    [InlineData("00")]
    [InlineData("0000")]
    [InlineData("0100")]
    [InlineData("0100 0300 4C00")] // offset into the offsets
    [InlineData("0100 0900 4C00")] // offset beyond the end
    [InlineData("0200 0800 0600 4C00")] // offsets that go back
    [InlineData("FFFF 0600 4C00")] // more offsets than bytes
    public void A_packet_whose_offsets_make_no_sense_has_not_enough_data(string data) =>
        Assert.Equal("8A001300", _plc.AskHex(Request(0x0A, Hex(MessageRouter), Hex(data))));

    private static IEnumerable<byte[]> Replies(byte[] packet)
    {
        byte[] data = packet[4..];
        int count = BinaryPrimitives.ReadUInt16LittleEndian(data);
        int[] bounds =
        [
            .. Enumerable
                .Range(1, count)
                .Select(i => (int)BinaryPrimitives.ReadUInt16LittleEndian(data.AsSpan(2 * i))),
            data.Length,
        ];
        return Enumerable.Range(0, count).Select(i => data[bounds[i]..bounds[i + 1]]);
    }
}
