using Dancerwatch.EdgeAgent.Watching.Payloads;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Watching.Payloads;

public sealed class UriPathTests
{
    [Theory]
    [InlineData("/leafside/tea-hall/line-1/tea-1", "/leafside/tea-hall/line-1/tea-1")]
    [InlineData("/leafside/halle-süd/1/50%", "/leafside/halle-s%C3%BCd/1/50%25")] // RFC 3986, 2.1 and 2.5
    public void A_path_holds_what_a_URI_may_and_encodes_the_rest(string path, string encoded) =>
        Assert.Equal(encoded, UriPath.Of(path));

    [Property]
    public void Any_name_makes_a_URI_reference_that_says_it_again(string name)
    {
        string path = $"/leafside/{(name ?? "").Replace("/", "", StringComparison.Ordinal)}";

        string encoded = UriPath.Of(path);

        Assert.All(encoded, character => Assert.True(char.IsAscii(character) && character > ' '));
        // Half a surrogate pair is no text in UTF-8.
        if (!path.Any(char.IsSurrogate))
            Assert.Equal(path, Uri.UnescapeDataString(encoded));
    }
}
