using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.EtherNetIp;

/// <summary>
/// Paths by the public data-access manual of Logix-class controllers (from memory): 0x91, length and ASCII for a name,
/// padded to even; 0x28, 0x29, 0x2A for an index of 8, 16, 32 bits.
/// </summary>
public sealed class TagAddressTests
{
    [Theory]
    [InlineData("Gap", TagType.Dint, "91 03 47 61 70 00", null)]
    [InlineData("Fill", TagType.Real, "91 04 46 69 6C 6C", null)]
    [InlineData("Tea1.Gap", TagType.Dint, "91 04 54 65 61 31 91 03 47 61 70 00", null)]
    [InlineData(
        "Program:Tea.Gap",
        TagType.Int,
        "91 0B 50 72 6F 67 72 61 6D 3A 54 65 61 00 91 03 47 61 70 00",
        null
    )]
    [InlineData("Bags[5]", TagType.Dint, "91 04 42 61 67 73 28 05", null)]
    [InlineData("Bags[255]", TagType.Dint, "91 04 42 61 67 73 28 FF", null)]
    [InlineData("Bags[256]", TagType.Dint, "91 04 42 61 67 73 29 00 00 01", null)]
    [InlineData("Bags[65536]", TagType.Dint, "91 04 42 61 67 73 2A 00 00 00 01 00", null)]
    [InlineData("Bags[1,2,3]", TagType.Real, "91 04 42 61 67 73 28 01 28 02 28 03", null)]
    [InlineData("Line[2].Gap", TagType.Real, "91 04 4C 69 6E 65 28 02 91 03 47 61 70 00", null)]
    [InlineData("Line[2].On", TagType.Bool, "91 04 4C 69 6E 65 28 02 91 02 4F 6E", null)]
    [InlineData("Bits.5", TagType.Bool, "91 04 42 69 74 73", 5)]
    [InlineData("Bits[2].63", TagType.Bool, "91 04 42 69 74 73 28 02", 63)]
    [InlineData("Flag[31]", TagType.Bool, "91 04 46 6C 61 67 28 00", 31)]
    [InlineData("Flag[32]", TagType.Bool, "91 04 46 6C 61 67 28 01", 0)]
    [InlineData("Flag[8193]", TagType.Bool, "91 04 46 6C 61 67 29 00 00 01", 1)]
    public void A_name_becomes_the_path_of_the_manual(string name, TagType type, string path, int? bit)
    {
        Assert.True(
            TagAddress.TryParse(new TagRequest(name, type), out TagAddress? address, out string? problem)
        );

        Assert.Null(problem);
        Assert.Equal(Hex.Bytes(path), address!.Path);
        Assert.Equal(bit, address.Bit);
        Assert.Equal(name.StartsWith("Flag", StringComparison.Ordinal), address.InBoolArray);
    }

    [Theory]
    [InlineData("", TagType.Dint)]
    [InlineData(".", TagType.Dint)]
    [InlineData("Gap.", TagType.Dint)]
    [InlineData("3Gap", TagType.Dint)]
    [InlineData("Gap Full", TagType.Dint)]
    [InlineData("Gap[", TagType.Dint)]
    [InlineData("Gap[-1]", TagType.Dint)]
    [InlineData("Gap[1,2,3,4]", TagType.Dint)]
    [InlineData("Gap[4294967296]", TagType.Dint)]
    [InlineData("Gäp", TagType.Dint)]
    [InlineData("Gap\n", TagType.Dint)]
    [InlineData("A.Program:B", TagType.Dint)]
    [InlineData("Bits.64", TagType.Bool)]
    [InlineData("Bits.5", TagType.Dint)]
    [InlineData("A23456789_123456789_123456789_123456789_1", TagType.Dint)]
    public void A_name_no_controller_can_have_is_a_problem_that_quotes_it(string name, TagType type)
    {
        Assert.False(
            TagAddress.TryParse(new TagRequest(name, type), out TagAddress? address, out string? problem)
        );

        Assert.Null(address);
        Assert.Contains($"'{name}'", problem, StringComparison.Ordinal);
    }

    [Fact]
    public void A_name_too_long_for_the_length_field_of_a_path_is_a_problem()
    {
        string name = string.Join('.', Enumerable.Repeat("A23456789_123456789_123456789_123456789_", 13));

        Assert.False(TagAddress.TryParse(new TagRequest(name, TagType.Dint), out _, out string? problem));

        Assert.Contains("at most 510", problem, StringComparison.Ordinal);
    }
}
