using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EdgeAgent.Tests.Configuration;

public sealed class NearestWordTests
{
    [Theory]
    [InlineData("hots", "host")]
    [InlineData("HOST", "host")]
    [InlineData("pollSeconds", "pollMilliseconds")]
    [InlineData("timeoutMiliseconds", "timeoutMilliseconds")]
    [InlineData("color", null)]
    [InlineData("", null)]
    public void What_was_probably_meant_is_found_and_nothing_is_forced(string typed, string? meant) =>
        Assert.Equal(
            meant,
            NearestWord.Of(typed, ["name", "host", "port", "pollMilliseconds", "timeoutMilliseconds"])
        );
}
