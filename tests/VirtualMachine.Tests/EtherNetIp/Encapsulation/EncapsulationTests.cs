using Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip;
using static Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip.Bytes;

namespace Dancerwatch.VirtualMachine.Tests.EtherNetIp.Encapsulation;

/// <summary>Frames byte for byte (CIP volume 2, chapter 2, from memory).</summary>
public sealed class EncapsulationTests
{
    private const string Context = "0102030405060708";
    private readonly Conversation _plc = new();

    [Fact]
    public void Registering_gives_a_session_and_echoes_the_context()
    {
        byte[] reply = _plc.NewSession(0x1234).Answer(RegisterSession()).ToArray();

        Assert.Equal(
            "6500" + "0400" + "34120000" + "00000000" + Context + "00000000" + "01000000",
            Convert.ToHexString(reply)
        );
    }

    [Theory]
    [InlineData("0200 0000", "69000000")] // a version to come
    [InlineData("0100 0100", "69000000")] // an option nobody defined
    [InlineData("0100", "65000000")]
    [InlineData("0100 0000 00", "65000000")]
    public void Registering_otherwise_fails_with_the_reason(string data, string status)
    {
        byte[] reply = _plc.NewSession(0x1234).Answer(Frame(0x65, 0, Hex(data))).ToArray();

        Assert.Equal("00000000" + status, Convert.ToHexString(reply, 4, 8));
    }

    [Fact]
    public void A_second_registration_is_refused() =>
        Assert.Equal("01000000", Convert.ToHexString(_plc.Answer(RegisterSession()), 8, 4));

    [Fact]
    public void Services_are_listed_without_a_session() =>
        Assert.Equal(
            "0400"
                + "1A00"
                + "00000000"
                + "00000000"
                + Context
                + "00000000"
                + "0100"
                + "0001"
                + "1400"
                + "0100"
                + "2000"
                + "436F6D6D756E69636174696F6E730000",
            Convert.ToHexString(_plc.NewSession(1).Answer(Frame(0x04, 0, [])).ToArray())
        );

    [Fact]
    public void The_identity_is_listed_with_the_socket_address_in_network_order()
    {
        string reply = Convert.ToHexString(_plc.NewSession(1).Answer(Frame(0x63, 0, [])).ToArray()[24..]);

        Assert.Equal(
            "0100" + "0C00" + "3E00" + "0100" + "0002" + "AF12" + "7F000001" + "0000000000000000",
            reply[..48]
        );
        Assert.Equal("0000" + "0E00" + "0100" + "0100" + "6030" + "12CEA20D" + "1C", reply[48..78]);
        Assert.EndsWith("03", reply, StringComparison.Ordinal);
        Assert.Equal(0x3E, (reply.Length / 2) - 6);
    }

    [Fact]
    public void No_interfaces_are_listed() =>
        Assert.Equal("0000", Convert.ToHexString(_plc.Answer(Frame(0x64, 0, []))[24..]));

    [Fact]
    public void A_nop_is_not_answered() => Assert.Empty(_plc.Answer(Frame(0x00, 0, [1, 2, 3])));

    [Fact]
    public void Unregistering_ends_the_session_without_an_answer()
    {
        var session = _plc.NewSession(7);
        session.Answer(RegisterSession());

        Assert.True(session.Answer(Frame(0x66, 7, [])).IsEmpty);
        Assert.True(session.IsOver);
    }

    [Fact]
    public void An_unknown_command_is_told_so_and_counted()
    {
        Assert.Equal(
            "9900" + "0000" + "11000000" + "01000000" + Context + "00000000",
            Convert.ToHexString(_plc.Answer(Frame(0x99, 0x11, [])))
        );
        Assert.Equal(1, _plc.Counters.Malformed);
    }

    [Fact]
    public void A_request_without_a_session_or_with_another_ones_is_refused()
    {
        byte[] frame = SendRRData(0x99, ReadTag("Gap"));

        Assert.Equal("64000000", Convert.ToHexString(_plc.Answer(frame), 8, 4));
        Assert.Equal("64000000", Convert.ToHexString(_plc.NewSession(0x99).Answer(frame).ToArray(), 8, 4));
    }

    [Theory]
    [InlineData("")]
    [InlineData("00000000 0000 0100 B200 0000")] // one item
    [InlineData("00000000 0000 0200 0000 0000 B100 0000")] // connected data without a connection
    [InlineData("00000000 0000 0200 0000 0000 B200 0500 4C00")] // longer than the frame
    [InlineData("01000000 0000 0200 0000 0000 B200 0200 4C00")] // not the CIP interface
    [InlineData("00000000 0000 0200 0000 0100 00 B200 0200 4C00")] // a null address with an address
    public void A_common_packet_that_cannot_be_read_is_incorrect_data(string data) =>
        Assert.Equal("03000000", Convert.ToHexString(_plc.Answer(Frame(0x6F, _plc.Handle, Hex(data))), 8, 4));

    [Fact]
    public void A_frame_with_options_is_dropped()
    {
        byte[] frame = SendRRData(_plc.Handle, ReadTag("Gap"));
        frame[20] = 1;

        Assert.Empty(_plc.Answer(frame));
    }

    [Fact]
    public void A_request_of_no_bytes_gets_a_reply_all_the_same() =>
        Assert.Equal("80001300", _plc.AskHex([]));
}
