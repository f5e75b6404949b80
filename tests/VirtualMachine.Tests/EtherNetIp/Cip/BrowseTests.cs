using System.Buffers.Binary;
using System.Text;
using static Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip.Bytes;

namespace Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip;

/// <summary>Identity, symbol and template objects (CIP volume 1, 5-2; browsing of Logix-class controllers; from memory).</summary>
public sealed class BrowseTests
{
    private readonly Conversation _plc = new();

    [Fact]
    public void The_identity_is_told_whole_and_by_attribute()
    {
        const string Name = "1C" + "5669727475616C207061636B6167696E6720636F6E74726F6C6C6572";

        Assert.Equal(
            "81000000" + "0000" + "0E00" + "0100" + "0100" + "6030" + "12CEA20D" + Name,
            _plc.AskHex(Request(0x01, Hex("2001 2401"), []))
        );
        Assert.Equal("8E000000" + "0E00", _plc.AskHex(Request(0x0E, Hex("2001 2401 3002"), [])));
        Assert.Equal("8E000000" + Name, _plc.AskHex(Request(0x0E, Hex("2001 2401 3007"), [])));
        Assert.Equal("8E001400", _plc.AskHex(Request(0x0E, Hex("2001 2401 3008"), [])));
        Assert.Equal("8E0005010000", _plc.AskHex(Request(0x0E, Hex("2001 2402 3001"), [])));
    }

    [Fact]
    public void Symbols_are_listed_with_number_name_and_type_and_programs_with_the_system_bit()
    {
        _plc.Table.AddInt("Gap");
        _plc.Table.AddBools("Flags", 3);
        _plc.Table.AddString("Recipe");
        _plc.Table.AddDint("Program:Main.Count");

        Assert.Equal(
            Hex(
                "D5000000"
                    + "01000000 0300 476170 C300"
                    + "02000000 0500 466C616773 D320"
                    + "03000000 0600 526563697065 CE8F"
                    + "00800000 0C00 50726F6772616D3A4D61696E 6810"
            ),
            _plc.Ask(List(0))
        );
        Assert.Equal(
            Hex("D5000000" + "01000000 0500 436F756E74 C400"),
            _plc.Ask(Request(0x55, [.. Symbols("Program:Main"), .. Hex("206B 2400")], Hex("0200 0100 0200")))
        );
    }

    [Fact]
    public void A_long_list_comes_in_parts_each_from_the_next_number_on()
    {
        for (int i = 0; i < 150; i++)
            _plc.Table.AddInt($"Tag_with_a_long_name_{i:000}");

        List<string> names = [];
        uint next = 0;
        byte[] reply;
        do
        {
            reply = _plc.Ask(List(next));
            Assert.InRange(reply.Length, 5, 504);
            for (int at = 4; at < reply.Length; )
            {
                next = BinaryPrimitives.ReadUInt32LittleEndian(reply.AsSpan(at)) + 1;
                int length = BinaryPrimitives.ReadUInt16LittleEndian(reply.AsSpan(at + 4));
                names.Add(Encoding.ASCII.GetString(reply, at + 6, length));
                at += 8 + length;
            }
        } while (reply[2] == 0x06);

        Assert.Equal(Enumerable.Range(0, 150).Select(i => $"Tag_with_a_long_name_{i:000}"), names);
    }

    [Fact]
    public void Every_attribute_clients_ask_for_is_given_and_another_refused()
    {
        _plc.Table.AddInts("Weights", 40);

        string reply = _plc.AskHex(
            Request(0x55, Hex("206B 2400"), Hex("0800 0100 0200 0300 0500 0600 0700 0800 0A00"))
        );

        Assert.Equal(
            "D5000000"
                + "01000000"
                + "0700"
                + "57656967687473"
                + "C320"
                + "00000000"
                + "00000000"
                + "00000000"
                + "0200"
                + "280000000000000000000000"
                + "02",
            reply
        );
        Assert.Equal("D5001400", _plc.AskHex(Request(0x55, Hex("206B 2400"), Hex("0100 6300"))));
        Assert.Equal("D5001300", _plc.AskHex(Request(0x55, Hex("206B 2400"), Hex("0200 0100"))));
        Assert.Equal("D5001500", _plc.AskHex(Request(0x55, Hex("206B 2400"), [11, 0, .. new byte[22]])));
        Assert.Equal(
            "D50004010000",
            _plc.AskHex(Request(0x55, [.. Symbols("Program:No"), .. Hex("206B")], Hex("0100 0100")))
        );
    }

    [Fact]
    public void A_template_describes_members_with_offsets_bits_and_names()
    {
        _plc.Table.AddInt("Tea1.DancerGap");
        _plc.Table.AddBool("Tea1.Running");
        _plc.Table.AddBool("Tea1.BrakeOn");
        _plc.Table.AddReals("Tea1.Past", 3);
        byte[] path = TemplatePath("Tea1");

        byte[] attributes = _plc.Ask(Request(0x03, path, Hex("0400 0400 0500 0200 0100")));
        byte[] definition = _plc.Ask(Request(0x4C, path, Hex("00000000 F401")))[4..];
        string handle = Convert.ToHexString(_plc.Ask(ReadTag("Tea1")), 6, 2);

        Assert.Equal("83000000" + "0400", Convert.ToHexString(attributes, 0, 6));
        Assert.Equal("05000000" + "10000000", Convert.ToHexString(attributes, 14, 8));
        Assert.Equal("02000000" + "0500", Convert.ToHexString(attributes, 22, 6));
        Assert.Equal("01000000" + handle, Convert.ToHexString(attributes, 28, 6));
        int words = BinaryPrimitives.ReadInt32LittleEndian(attributes.AsSpan(10));
        Assert.InRange((words * 4) - 23 - definition.Length, 0, 3);
        Assert.Equal(
            "0000C30000000000"
                + "0000C20002000000"
                + "0000C10002000000"
                + "0100C10002000000"
                + "0300CA2004000000",
            Convert.ToHexString(definition, 0, 40)
        );
        Assert.Equal(
            ["Tea1;n", "DancerGap", "ZZZZZZZZZZ1", "Running", "BrakeOn", "Past", ""],
            Encoding.ASCII.GetString(definition[40..]).Split('\0')
        );
    }

    [Fact]
    public void Equal_structures_share_a_template_and_different_ones_do_not()
    {
        foreach (string machine in (string[])["Tea1", "Tea2"])
        {
            _plc.Table.AddInt($"{machine}.DancerGap");
            _plc.Table.AddBool($"{machine}.Running");
        }
        _plc.Table.AddInt("Tea3.DancerGap");

        Assert.Equal(TemplatePath("Tea1"), TemplatePath("Tea2"));
        Assert.NotEqual(TemplatePath("Tea1"), TemplatePath("Tea3"));
    }

    [Fact]
    public void A_template_is_read_from_any_offset_and_one_that_is_not_there_is_unknown()
    {
        _plc.Table.AddInt("Tea1.DancerGap");
        byte[] path = TemplatePath("Tea1");
        byte[] whole = _plc.Ask(Request(0x4C, path, Hex("00000000 F401")))[4..];

        Assert.Equal(whole[5..9], _plc.Ask(Request(0x4C, path, Hex("05000000 0400")))[4..]);
        Assert.Equal("CC00FF010421", _plc.AskHex(Request(0x4C, path, Hex("FF000000 0400"))));
        Assert.Equal("CC001300", _plc.AskHex(Request(0x4C, path, Hex("0000"))));
        Assert.Equal("CC0005010000", _plc.AskHex(Request(0x4C, Hex("206C 2500 FF01"), Hex("00000000 0400"))));
    }

    private static byte[] List(uint from) =>
        Request(0x55, [.. Hex("206B 2500"), .. UInt16((int)from)], Hex("0200 0100 0200"));

    // The symbol's type is the structure bit and the template's number.
    private byte[] TemplatePath(string tag)
    {
        string list = _plc.AskHex(Request(0x55, Hex("206B 2400"), Hex("0200 0100 0200")));
        string name = Convert.ToHexString(Encoding.ASCII.GetBytes(tag));
        int at = list.IndexOf(name, StringComparison.Ordinal) + name.Length;
        byte[] type = Convert.FromHexString(list[at..(at + 4)]);
        Assert.Equal(0x80, type[1] & 0xF0);
        return [.. Hex("206C 2500"), type[0], (byte)(type[1] & 0x0F)];
    }
}
