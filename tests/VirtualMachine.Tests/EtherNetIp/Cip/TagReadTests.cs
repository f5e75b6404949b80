using static Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip.Bytes;

namespace Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip;

/// <summary>Replies byte for byte. Type codes, statuses and layouts: CIP volume 1 and the data access of Logix-class controllers, from memory; numbers: two's complement and IEEE 754.</summary>
public sealed class TagReadTests
{
    private readonly Conversation _plc = new();

    public TagReadTests()
    {
        _plc.Table.AddBool("Yes").Value = true;
        _plc.Table.AddBool("No");
        _plc.Table.AddSint("Small").Value = -2;
        _plc.Table.AddInt("Middle").Value = -2;
        _plc.Table.AddDint("Big").Value = 0x01020304;
        _plc.Table.AddLint("Huge").Value = -2;
        _plc.Table.AddReal("Single").Value = 1.5f;
        _plc.Table.AddLreal("Double").Value = 1.25;
        _plc.Table.AddString("Recipe").Value = "Assam";
        _plc.Table.AddInt("Tea1.DancerGap").Value = 2048;
        _plc.Table.AddBool("Tea1.Running");
        _plc.Table.AddBool("Tea1.BrakeOn").Value = true;
        _plc.Table.AddReal("Tea1.UnwindSpeed").Value = -0.5f;
        _plc.Table.AddDint("Program:Main.Counter").Value = 7;
    }

    [Theory]
    [InlineData("Yes", "C100 FF")]
    [InlineData("No", "C100 00")]
    [InlineData("Small", "C200 FE")]
    [InlineData("Middle", "C300 FEFF")]
    [InlineData("Big", "C400 04030201")]
    [InlineData("Huge", "C500 FEFFFFFFFFFFFFFF")]
    [InlineData("Single", "CA00 0000C03F")]
    [InlineData("Double", "CB00 000000000000F43F")]
    [InlineData("Tea1.DancerGap", "C300 0008")]
    [InlineData("Tea1.Running", "C100 00")]
    [InlineData("Tea1.BrakeOn", "C100 FF")]
    [InlineData("Tea1.UnwindSpeed", "CA00 000000BF")]
    [InlineData("Program:Main.Counter", "C400 07000000")]
    [InlineData("TEA1.dancergap", "C300 0008")]
    [InlineData("Recipe.LEN", "C400 05000000")]
    public void Every_type_is_read_with_its_code_and_value(string name, string expected) =>
        Assert.Equal("CC000000" + Convert.ToHexString(Hex(expected)), _plc.AskHex(ReadTag(name)));

    [Fact]
    public void A_string_is_a_structure_of_length_and_82_characters_padded_to_88_bytes()
    {
        byte[] reply = _plc.Ask(ReadTag("Recipe"));

        Assert.Equal("CC000000" + "A002CE0F" + "05000000" + "417373616D", Convert.ToHexString(reply, 0, 17));
        Assert.Equal(4 + 4 + 88, reply.Length);
        Assert.All(reply[17..], value => Assert.Equal(0, value));
    }

    [Fact]
    public void A_whole_structure_is_read_with_a_handle_and_its_members_aligned_and_bools_packed()
    {
        byte[] reply = _plc.Ask(ReadTag("Tea1"));

        Assert.Equal("CC000000A002", Convert.ToHexString(reply, 0, 6));
        // gap; host byte with Running in bit 0 and BrakeOn in bit 1; pad; speed at a multiple of four
        Assert.Equal("0008" + "02" + "00" + "000000BF", Convert.ToHexString(reply[8..]));
    }

    [Fact]
    public void A_bool_array_is_kept_in_dwords_with_the_first_in_the_lowest_bit()
    {
        var flags = _plc.Table.AddBools("Flags", 40);
        (flags[0], flags[31], flags[33]) = (true, true, true);

        Assert.Equal("CC000000D300" + "01000080" + "02000000", _plc.AskHex(ReadTag("Flags", 2)));
        Assert.Equal("CC000000D300" + "02000000", _plc.AskHex(ReadTag([.. Symbols("Flags"), 0x28, 1])));
    }

    [Fact]
    public void A_bit_of_an_integer_is_set_by_its_handle_and_read_with_the_integer()
    {
        var status = _plc.Table.AddInt("Status");
        status.Bit(9).Value = true;

        Assert.Equal("CC000000C3000002", _plc.AskHex(ReadTag("Status")));
        Assert.Equal(512, status.Value);
    }

    [Fact]
    public void Elements_of_an_array_are_read_from_an_index_on()
    {
        var weights = _plc.Table.AddInts("Weights", 300);
        for (int i = 0; i < weights.Length; i++)
            weights[i] = (short)i;

        Assert.Equal("CC000000C300" + "05000600", _plc.AskHex(ReadTag([.. Symbols("Weights"), 0x28, 5], 2)));
        Assert.Equal(
            "CC000000C300" + "2B01",
            _plc.AskHex(ReadTag([.. Symbols("Weights"), 0x29, 0x00, 0x2B, 0x01]))
        );
        Assert.Equal(
            "CC000000C300" + "2B01",
            _plc.AskHex(ReadTag([.. Symbols("Weights"), .. Hex("2A00 2B010000")]))
        );
    }

    [Fact]
    public void A_tag_is_found_by_its_number_too() =>
        Assert.Equal("CC000000C300FEFF", _plc.AskHex(ReadTag(Hex("206B 2500 0400"))));

    [Theory]
    [InlineData("Missing", "04")]
    [InlineData("Program:Main.Missing", "04")]
    [InlineData("Program:Other.Counter", "04")]
    [InlineData("Tea1.Missing", "05")]
    [InlineData("Middle.3", "05")]
    public void A_name_that_is_not_there_is_a_path_error(string name, string status) =>
        Assert.Equal($"CC00{status}010000", _plc.AskHex(ReadTag(name)));

    [Fact]
    public void An_index_is_refused_beyond_the_end_and_on_what_is_no_array()
    {
        _plc.Table.AddInts("Five", 5);

        Assert.Equal("CC0005010000", _plc.AskHex(ReadTag([.. Symbols("Five"), 0x28, 5])));
        Assert.Equal("CC0005010000", _plc.AskHex(ReadTag([.. Symbols("Middle"), 0x28, 0])));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(2)]
    [InlineData(65535)]
    public void More_elements_than_there_are_is_beyond_the_end(int count) =>
        Assert.Equal("CC00FF010521", _plc.AskHex(ReadTag("Middle", count)));

    [Fact]
    public void A_request_too_short_or_too_long_is_told_so()
    {
        Assert.Equal("CC001300", _plc.AskHex(Request(0x4C, Symbols("Middle"), [1])));
        Assert.Equal("CC001500", _plc.AskHex(Request(0x4C, Symbols("Middle"), [1, 0, 0])));
        Assert.Equal("D2001300", _plc.AskHex(Request(0x52, Symbols("Middle"), [1, 0, 0, 0, 0])));
    }

    [Fact]
    public void A_path_longer_than_the_message_is_an_invalid_path_size()
    {
        byte[] request = ReadTag("Middle");
        request[1] = 40;

        Assert.Equal("CC002600", _plc.AskHex(request));
        Assert.Equal(1, _plc.Counters.Malformed);
    }

    [Theory]
    [InlineData("9104 4142")] // symbol longer than the path
    [InlineData("9100")] // symbol without a name
    [InlineData("FF00")] // no kind of segment
    [InlineData("")] // nothing at all
    [InlineData("2401")] // an instance of nothing
    public void A_path_that_cannot_be_read_is_a_path_segment_error(string path) =>
        Assert.Equal("CC0004010000", _plc.AskHex(ReadTag(Hex(path))));

    [Fact]
    public void An_object_that_is_not_there_is_an_unknown_destination() =>
        Assert.Equal("8E0005010000", _plc.AskHex(Request(0x0E, Hex("208B 2401 3005"), [])));

    [Fact]
    public void What_does_not_fit_is_read_in_parts_that_join_without_a_seam()
    {
        var weights = _plc.Table.AddDints("Weights", 300);
        for (int i = 0; i < weights.Length; i++)
            weights[i] = i * 1_000_003;

        byte[] first = _plc.Ask(ReadTag("Weights", 300));
        List<byte> parts = [];
        byte[] part;
        do
        {
            part = _plc.Ask(ReadFragment("Weights", 300, parts.Count));
            Assert.InRange(part.Length, 7, 504);
            Assert.Equal("C400", Convert.ToHexString(part, 4, 2));
            parts.AddRange(part[6..]);
        } while (part[2] == 0x06);

        Assert.Equal("CC000600C400", Convert.ToHexString(first, 0, 6));
        Assert.Equal(0, part[2]);
        Assert.Equal(Enumerable.Range(0, 300).SelectMany(i => BitConverter.GetBytes(i * 1_000_003)), parts);
        Assert.Equal(parts[..(first.Length - 6)], first[6..]);
    }

    [Fact]
    public void A_fragment_from_beyond_the_end_is_refused() =>
        Assert.Equal("D200FF010421", _plc.AskHex(ReadFragment("Big", 1, 4)));
}
