using static Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip.Bytes;

namespace Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip;

public sealed class WriteRefusalTests
{
    private readonly Conversation _plc = new();

    public WriteRefusalTests() => _plc.Table.AddInt("Gap").Value = 1;

    [Theory]
    [InlineData("4D", "C300 0100 0700")] // write tag
    [InlineData("53", "C300 0100 00000000 0700")] // write tag fragmented
    [InlineData("4E", "0200 FFFF 0000")] // read-modify-write tag
    [InlineData("10", "0700")] // set attribute single
    [InlineData("02", "0700")] // set attributes all
    [InlineData("04", "0100 0100 0700")] // set attribute list
    public void A_write_changes_nothing_is_not_supported_and_is_counted(string service, string data)
    {
        byte code = Hex(service)[0];
        byte[] write = Request(code, Symbols("Gap"), Hex(data));
        string refusal = $"{code | 0x80:X2}000800";

        Assert.Equal(refusal, _plc.AskHex(write));
        Assert.Equal(refusal, _plc.AskHex(UnconnectedSend(write)));
        Assert.Equal("8A001E00" + "0100" + "0400" + refusal, _plc.AskHex(Packet(write)));
        Assert.Equal(refusal, Convert.ToHexString(_plc.AskConnected(_plc.Open(new()), 1, write)));

        Assert.Equal(4, _plc.Counters.RefusedWrites);
        Assert.Equal(4, _plc.Counters.RequestsOf(code));
        Assert.Equal("CC000000C3000100", _plc.AskHex(ReadTag("Gap")));
    }

    [Theory]
    [InlineData("2001 2401")]
    [InlineData("206B 2401")]
    [InlineData("9107 4D697373696E6700")]
    [InlineData("FF00")]
    public void A_write_is_refused_wherever_it_goes(string path)
    {
        Assert.Equal("CD000800", _plc.AskHex(Request(0x4D, Hex(path), [])));
        Assert.Equal(1, _plc.Counters.RefusedWrites);
    }

    [Fact]
    public void Services_that_are_neither_read_nor_write_are_not_supported_either()
    {
        Assert.Equal("85000800", _plc.AskHex(Request(0x05, Hex("2001 2401"), []))); // reset
        Assert.Equal("87000800", _plc.AskHex(Request(0x07, Symbols("Gap"), []))); // stop
        Assert.Equal(0, _plc.Counters.RefusedWrites);
    }
}
