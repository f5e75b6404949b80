using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

namespace Dancerwatch.EdgeAgent.Tests.Configuration;

/// <summary>What the configuration lets pass, the driver must be able to use.</summary>
public sealed class TextRuleTests
{
    [Theory]
    [InlineData("", true)]
    [InlineData("1,0", true)]
    [InlineData("1,3,2,192.0.2.20,1,255", true)]
    [InlineData("1", false)]
    [InlineData("0,1", false)]
    [InlineData("15,1", false)]
    [InlineData("1,256", false)]
    [InlineData("2,192.0.2", false)]
    [InlineData("2,192.0.2.256", false)]
    [InlineData("1,0,", false)]
    [InlineData("1;0", false)]
    public void A_route_is_allowed_just_where_the_driver_can_go_it(string route, bool allowed)
    {
        Assert.Equal(allowed, TextRule.Route.Fits(route));
        if (route != "2,192.0.2") // addresses may be shortened by custom; we ask for all of them
            Assert.Equal(allowed, RoutePath.TryParse(route, out _, out _));
    }

    [Theory]
    [InlineData("Gap", TagType.Int, true)]
    [InlineData("Tea1.DancerGap", TagType.Int, true)]
    [InlineData("Program:Packing.Tea1.Gap", TagType.Real, true)]
    [InlineData("Local:1:I.Ch0Data", TagType.Int, true)]
    [InlineData("Flags[3]", TagType.Bool, true)]
    [InlineData("Grid[1,2,3].Gap", TagType.Int, true)]
    [InlineData("Status.63", TagType.Bool, true)]
    [InlineData("Status.64", TagType.Bool, false)]
    [InlineData("Tea1..Gap", TagType.Int, false)]
    [InlineData("1Gap", TagType.Int, false)]
    [InlineData("Tea 1", TagType.Int, false)]
    [InlineData("Gap[1,2,3,4]", TagType.Int, false)]
    [InlineData("Flags[x]", TagType.Bool, false)]
    [InlineData("ANameOfMoreThanFortyLettersIsTooLongForIt", TagType.Int, false)]
    [InlineData("Gap\n", TagType.Int, false)]
    public void A_tag_name_is_allowed_just_where_the_driver_can_ask_for_it(
        string name,
        TagType type,
        bool allowed
    )
    {
        Assert.Equal(allowed, TextRule.TagName.Fits(name));
        Assert.Equal(allowed, TagAddress.TryParse(new TagRequest(name, type), out _, out _));
    }
}
