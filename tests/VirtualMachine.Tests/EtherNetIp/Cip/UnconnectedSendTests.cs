using Dancerwatch.VirtualMachine.EtherNetIp;
using static Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip.Bytes;

namespace Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip;

/// <summary>Unconnected Send (CIP volume 1, 3-5.5.4, from memory).</summary>
public sealed class UnconnectedSendTests
{
    private readonly Conversation _plc = new();

    public UnconnectedSendTests() => _plc.Table.AddInt("Gap").Value = 0x1234;

    [Theory]
    [InlineData("0100")]
    [InlineData("")]
    public void The_reply_is_that_of_the_request_inside(string route) =>
        Assert.Equal("CC000000C3003412", _plc.AskHex(UnconnectedSend(ReadTag("Gap"), route)));

    [Fact]
    public void A_request_of_odd_length_is_padded() =>
        Assert.Equal("CC001300", _plc.AskHex(UnconnectedSend(Request(0x4C, Symbols("Gap"), [1]))));

    [Theory]
    [InlineData("0101", "1203")] // another slot
    [InlineData("0300", "1103")] // another port
    [InlineData("1102 3030", "1203")] // a link address of two characters
    [InlineData("0100 0100", "1503")] // further on from here
    [InlineData("9101 4100", "1503")] // a name is no route
    public void A_route_elsewhere_is_refused_with_the_reason(string route, string reason) =>
        Assert.Equal($"D2000101{reason}", _plc.AskHex(UnconnectedSend(ReadTag("Gap"), route))[..12]);

    [Fact]
    public void The_slot_is_the_configured_one()
    {
        Conversation plc = new(new ControllerServerOptions { Slot = 3 });
        plc.Table.AddInt("Gap");

        Assert.Equal("CC000000C3000000", plc.AskHex(UnconnectedSend(ReadTag("Gap"), "0103")));
    }

    [Fact]
    public void Cut_short_anywhere_it_has_not_enough_data()
    {
        byte[] request = UnconnectedSend(ReadTag("Gap"));

        for (int length = 6; length < request.Length; length++)
            Assert.Equal("D2001300", _plc.AskHex(request[..length]));
    }

    [Fact]
    public void One_inside_another_is_refused() =>
        Assert.Equal("D2000800", _plc.AskHex(UnconnectedSend(UnconnectedSend(ReadTag("Gap")))));

    [Fact]
    public void They_are_counted_apart_from_fragmented_reads()
    {
        _plc.Ask(UnconnectedSend(ReadFragment("Gap", 1, 0)));

        Assert.Equal(1, _plc.Counters.UnconnectedSends);
        Assert.Equal(1, _plc.Counters.RequestsOf(0x52));
    }
}
