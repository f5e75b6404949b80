using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.EtherNetIp;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.EtherNetIp;

/// <summary>Type codes: CIP volume 1, appendix C (from memory). REAL and LREAL: IEEE 754, bytes by numpy 2.</summary>
public sealed class TagDecoderTests
{
    [Theory]
    [InlineData("On", TagType.Bool, "C100 00", 0)]
    [InlineData("On", TagType.Bool, "C100 01", 1)]
    [InlineData("On", TagType.Bool, "C100 FF", 1)]
    [InlineData("N", TagType.Sint, "C200 80", -128)]
    [InlineData("N", TagType.Int, "C300 FEFF", -2)]
    [InlineData("N", TagType.Dint, "C400 00000080", -2147483648d)]
    [InlineData("N", TagType.Lint, "C500 FEFFFFFFFFFFFFFF", -2)]
    [InlineData("N", TagType.Usint, "C600 80", 128)]
    [InlineData("N", TagType.Uint, "C700 FEFF", 65534)]
    [InlineData("N", TagType.Udint, "C800 00000080", 2147483648d)]
    [InlineData("N", TagType.Ulint, "C900 0000000000000001", 72057594037927936d)]
    [InlineData("N", TagType.Real, "CA00 00004842", 50)]
    [InlineData("N", TagType.Lreal, "CB00 182D4454FB210940", Math.PI)]
    [InlineData("N", TagType.Real, "CA00 0000807F", double.PositiveInfinity)]
    [InlineData("N.3", TagType.Bool, "C200 08", 1)]
    [InlineData("N.3", TagType.Bool, "C400 F7FFFFFF", 0)]
    [InlineData("N.31", TagType.Bool, "C400 00000080", 1)]
    [InlineData("N.63", TagType.Bool, "C500 0000000000000080", 1)]
    [InlineData("N.15", TagType.Bool, "D200 0080", 1)]
    [InlineData("N[33]", TagType.Bool, "D300 02000000", 1)]
    [InlineData("N[33]", TagType.Bool, "D300 FDFFFFFF", 0)]
    [InlineData("N", TagType.Dint, "C400 2A000000 FFFF", 42)] // bytes that align a packed reply
    public void A_value_of_the_configured_type_is_decoded(
        string name,
        TagType type,
        string data,
        double expected
    )
    {
        TagOutcome outcome = TagDecoder.Decode(Plan(name, type), Hex.Bytes(data), out double number, out _);

        Assert.Equal(TagOutcome.Good, outcome);
        Assert.Equal(expected, number);
    }

    [Fact]
    public void A_NaN_of_the_controller_stays_a_NaN()
    {
        TagOutcome outcome = TagDecoder.Decode(
            Plan("N", TagType.Real),
            Hex.Bytes("CA00 0000C07F"),
            out double number,
            out _
        );

        Assert.Equal(TagOutcome.Good, outcome);
        Assert.Equal(double.NaN, number);
    }

    [Theory]
    [InlineData(
        "N",
        TagType.Real,
        "C400 2A000000",
        "'N' is DINT in the controller, the configuration says REAL"
    )]
    [InlineData(
        "N",
        TagType.Int,
        "CE0F 2A000000",
        "'N' is of type 0x0FCE in the controller, the configuration says INT"
    )]
    [InlineData(
        "N",
        TagType.Dint,
        "A002 CE0F 00",
        "'N' is STRING in the controller, the configuration says DINT"
    )]
    [InlineData(
        "N",
        TagType.Dint,
        "A002 3412 00",
        "'N' is a structure (handle 0x1234) in the controller, the configuration says DINT"
    )]
    [InlineData(
        "N",
        TagType.String,
        "C400 2A000000",
        "'N' is DINT in the controller, the configuration says STRING"
    )]
    [InlineData(
        "N",
        TagType.Bool,
        "C400 01000000",
        "'N' is DINT in the controller, the configuration says BOOL"
    )]
    [InlineData(
        "N.3",
        TagType.Bool,
        "CA00 00000000",
        "'N.3' is REAL in the controller, the configuration says BOOL"
    )]
    [InlineData(
        "N.16",
        TagType.Bool,
        "C300 0000",
        "'N.16' asks for bit 16, but the integer is INT in the controller, with bits 0 to 15"
    )]
    [InlineData(
        "N[3]",
        TagType.Bool,
        "C100 01",
        "'N[3]' is BOOL in the controller, the configuration says an element of a BOOL array"
    )]
    public void Another_type_is_an_error_that_names_both(
        string name,
        TagType type,
        string data,
        string expected
    )
    {
        TagPlan plan = Plan(name, type);

        TagOutcome outcome = TagDecoder.Decode(plan, Hex.Bytes(data), out double number, out _);

        Assert.Equal(TagStatus.WrongType, outcome.Status);
        Assert.Equal(double.NaN, number);
        Assert.Contains(expected, outcome.Describe(plan), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(TagType.Dint, "")]
    [InlineData(TagType.Dint, "C4")]
    [InlineData(TagType.Dint, "C400 2A0000")]
    [InlineData(TagType.Lreal, "CB00 00000000000000")]
    [InlineData(TagType.String, "A002 CE")]
    [InlineData(TagType.String, "A002 CE0F 0500")]
    [InlineData(TagType.String, "A002 CE0F 05000000 6162")]
    [InlineData(TagType.String, "A002 CE0F FFFFFFFF 6162")]
    [InlineData(TagType.String, "A002 CE0F FFFFFF7F 6162")]
    public void A_value_cut_short_is_garbled(TagType type, string data)
    {
        TagOutcome outcome = TagDecoder.Decode(Plan("N", type), Hex.Bytes(data), out double number, out _);

        Assert.Equal(TagStatus.Garbled, outcome.Status);
        Assert.Equal(double.NaN, number);
    }

    [Property]
    public bool Whatever_the_bytes_nothing_is_thrown_and_a_bad_outcome_has_no_value(byte[] data, byte tag)
    {
        TagPlan plan = tag % 3 == 0 ? Plan("N[7]", TagType.Bool) : Plan("N", (TagType)(tag % 12));

        TagOutcome outcome = TagDecoder.Decode(plan, data, out double number, out _);

        return outcome.Status == TagStatus.Good
            || (double.IsNaN(number) && outcome.Describe(plan) is not null);
    }

    private static TagPlan Plan(string name, TagType type)
    {
        TagRequest tag = new(name, type);
        Assert.True(TagAddress.TryParse(tag, out TagAddress? address, out _));
        return new TagPlan(tag, address!);
    }
}
