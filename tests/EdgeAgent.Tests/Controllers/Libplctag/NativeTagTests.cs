using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.Libplctag;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.Libplctag;

public sealed class NativeTagTests
{
    [Theory]
    [InlineData("Tea1.Gap", TagType.Int, "Tea1.Gap", 2)]
    [InlineData("Program:Main.Speed", TagType.Real, "Program:Main.Speed", 4)]
    [InlineData("Bags[299]", TagType.Dint, "Bags[299]", 4)]
    [InlineData("Flags[70]", TagType.Bool, "Flags[2]", 4)]
    [InlineData("Recipe", TagType.String, "Recipe", 88)]
    public void A_tag_has_a_name_for_the_library_and_a_size(
        string name,
        TagType type,
        string native,
        int bytes
    )
    {
        Assert.True(NativeTag.TryParse(new TagRequest(name, type), out NativeTag? tag, out _));

        Assert.Equal((native, bytes), (tag!.Name, tag.Bytes));
        Assert.True(tag.Fits(bytes));
        Assert.False(tag.Fits(bytes + 1));
    }

    [Fact]
    public void A_bit_is_read_with_its_integer_of_any_size_that_has_it()
    {
        Assert.True(NativeTag.TryParse(new TagRequest("Status.17", TagType.Bool), out NativeTag? tag, out _));

        Assert.Equal("Status", tag!.Name);
        Assert.False(tag.Fits(2));
        Assert.True(tag.Fits(4));
        Assert.True(tag.Fits(8));
    }
}
