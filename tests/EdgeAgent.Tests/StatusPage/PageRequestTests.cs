using System.Text;
using Dancerwatch.EdgeAgent.StatusPage;

namespace Dancerwatch.EdgeAgent.Tests.StatusPage;

public sealed class PageRequestTests
{
    [Fact]
    public async Task A_request_is_taken_apart()
    {
        PageRequest request = (
            await ReadAsync(
                "GET /machine/tea%201?a=b%20c HTTP/1.1\r\nhost: 127.0.0.1:8040\r\nCookie: x=y\r\n\r\n"
            )
        )!;

        Assert.Equal(
            ("GET", "/machine/tea 1", "a=b c", "127.0.0.1:8040", "x=y", ""),
            (request.Method, request.Path, request.Query, request.Host, request.Cookie, request.Body)
        );
    }

    [Fact]
    public async Task A_body_is_read_as_far_as_it_is_long()
    {
        PageRequest request = (
            await ReadAsync("POST /enter HTTP/1.1\r\nContent-Length: 9\r\n\r\ntoken=abcdef")
        )!;

        Assert.Equal("token=abc", request.Body);
    }

    [Theory]
    [InlineData("")]
    [InlineData("GET / HTTP/1.1\r\nHost: x\r\n")]
    [InlineData("POST /enter HTTP/1.1\r\nContent-Length: 9\r\n\r\ntok")]
    public async Task A_caller_who_goes_away_is_no_error(string sent) => Assert.Null(await ReadAsync(sent));

    [Theory]
    [InlineData("\r\n\r\n")]
    [InlineData("GET\r\n\r\n")]
    [InlineData("GET http://elsewhere.example/ HTTP/1.1\r\n\r\n")]
    [InlineData("GET / HTTP/2\r\n\r\n")]
    [InlineData("GET / x HTTP/1.1\r\n\r\n")]
    [InlineData("GET / HTTP/1.1\r\nno header\r\n\r\n")]
    [InlineData("POST / HTTP/1.1\r\nContent-Length: -1\r\n\r\n")]
    [InlineData("POST / HTTP/1.1\r\nContent-Length: 99999999999\r\n\r\n")]
    [InlineData("POST / HTTP/1.1\r\nContent-Length: 2000\r\n\r\n")]
    [InlineData("POST / HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\n")]
    public async Task What_is_no_request_is_refused(string sent) =>
        await Assert.ThrowsAsync<InvalidDataException>(() => ReadAsync(sent));

    [Fact]
    public async Task A_head_without_end_is_refused() =>
        await Assert.ThrowsAsync<InvalidDataException>(() =>
            ReadAsync("GET / HTTP/1.1\r\nA: " + new string('a', 9_000))
        );

    private static async Task<PageRequest?> ReadAsync(string sent)
    {
        using MemoryStream stream = new(Encoding.Latin1.GetBytes(sent));
        return await PageRequest.ReadAsync(stream, TestContext.Current.CancellationToken);
    }
}
