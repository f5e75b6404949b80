using Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.EtherNetIp;

/// <summary>Port segments: CIP volume 1, appendix C-1.4.1 (from memory).</summary>
public sealed class RoutePathTests
{
    [Theory]
    [InlineData("", "")]
    [InlineData("  ", "")]
    [InlineData("1,0", "01 00")]
    [InlineData("1, 3 , 2, 255", "01 03 02 FF")]
    [InlineData("2,192.0.2.20,1,0", "12 0A 31 39 32 2E 30 2E 32 2E 32 30 01 00")]
    [InlineData("2,192.0.2.2", "12 09 31 39 32 2E 30 2E 32 2E 32 00")]
    public void A_route_becomes_padded_port_segments(string text, string path)
    {
        Assert.True(RoutePath.TryParse(text, out byte[] actual, out string? problem));

        Assert.Null(problem);
        Assert.Equal(Hex.Bytes(path), actual);
    }

    [Theory]
    [InlineData("1", "1 parts")]
    [InlineData("1,0,2", "3 parts")]
    [InlineData("0,0", "port 0")]
    [InlineData("15,0", "port 15")]
    [InlineData("slot,0", "port 'slot'")]
    [InlineData("1,256", "link 256")]
    [InlineData("1,tea", "link 'tea'")]
    [InlineData("1,", "link ''")]
    public void A_malformed_route_is_a_problem_that_names_the_part_and_suggests_one(string text, string part)
    {
        Assert.False(RoutePath.TryParse(text, out _, out string? problem));

        Assert.Contains($"'{text}'", problem, StringComparison.Ordinal);
        Assert.Contains(part, problem, StringComparison.Ordinal);
        Assert.Contains("Try '1,0'", problem, StringComparison.Ordinal);
    }
}
