using System.Net;
using System.Text.Json;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.StatusPage;
using Dancerwatch.EdgeAgent.Tests.Hosting;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EdgeAgent.Tests.StatusPage;

public sealed class StatusPageTests : IDisposable
{
    private const string Token = "oolong-and-assam-0042";
    private readonly string _tokenFile = Path.GetTempFileName();
    private readonly HttpClient _browser = new(
        new SocketsHttpHandler
        {
            AllowAutoRedirect = false,
            UseCookies = false,
            UseProxy = false,
        }
    );

    public StatusPageTests() => File.WriteAllText(_tokenFile, Token + "\n");

    public void Dispose()
    {
        File.Delete(_tokenFile);
        _browser.Dispose();
    }

    [Fact]
    public async Task It_is_off_unless_it_is_switched_on()
    {
        await using TestHall hall = new("tea");
        await using RunningAgent agent = new(
            Settings(hall, new StatusPageSettings()),
            NullLoggerFactory.Instance
        );

        Assert.Null(agent.Agent.PageEndPoint);
    }

    [Fact]
    public async Task It_serves_its_page_its_files_and_nothing_else()
    {
        await using TestHall hall = new("tea");
        await using RunningAgent agent = Page(hall);

        foreach (
            string path in new[] { "/", "/machine/tea-1", "/page.css", "/page.js", "/chart.js", "/metrics" }
        )
        {
            using HttpResponseMessage answer = await GetAsync(agent, path);
            Assert.Equal((path, HttpStatusCode.OK), (path, answer.StatusCode));
            Assert.Contains(
                "default-src 'none'",
                answer.Headers.GetValues("Content-Security-Policy").Single(),
                StringComparison.Ordinal
            );
        }
        using HttpResponseMessage nothing = await GetAsync(agent, "/../../etc/passwd%00");
        Assert.Equal(HttpStatusCode.NotFound, nothing.StatusCode);
    }

    [Theory]
    [InlineData("/machine/tea-9")]
    [InlineData("/events?machine=tea-9")]
    public async Task A_machine_that_does_not_exist_is_told_in_one_sentence(string path)
    {
        await using TestHall hall = new("tea", machines: 2);
        await using RunningAgent agent = Page(hall);

        using HttpResponseMessage answer = await GetAsync(agent, path);

        Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
        Assert.Equal(
            "There is no machine \"tea-9\". Watched are: tea-1, tea-2.\n",
            await answer.Content.ReadAsStringAsync(s_end)
        );
    }

    [Theory]
    [InlineData("POST")]
    [InlineData("PUT")]
    [InlineData("DELETE")]
    public async Task It_takes_nothing(string method)
    {
        await using TestHall hall = new("tea");
        await using RunningAgent agent = Page(hall);
        using HttpRequestMessage request = new(new HttpMethod(method), Address(agent, "/machine/tea-1"));

        using HttpResponseMessage answer = await _browser.SendAsync(request, s_end);

        Assert.Equal(HttpStatusCode.MethodNotAllowed, answer.StatusCode);
    }

    [Fact]
    public async Task A_foreign_name_for_this_computer_is_refused()
    {
        await using TestHall hall = new("tea");
        await using RunningAgent agent = Page(hall);
        using HttpRequestMessage request = new(HttpMethod.Get, Address(agent, "/"));
        request.Headers.Host = "tea.example";

        using HttpResponseMessage answer = await _browser.SendAsync(request, s_end);

        Assert.Equal(HttpStatusCode.Forbidden, answer.StatusCode);
    }

    [Fact]
    public async Task Events_come_live_and_only_the_first_brings_the_past()
    {
        await using TestHall hall = new("tea", machines: 2);
        await using RunningAgent agent = Page(hall);
        await agent.ComesRoundAsync();

        await using Stream stream = await _browser.GetStreamAsync(
            Address(agent, "/events?machine=tea-2"),
            s_end
        );
        using StreamReader lines = new(stream);
        using JsonDocument first = await NextAsync(lines);
        using JsonDocument second = await NextAsync(lines);

        Assert.Equal(
            ["tea-1", "tea-2"],
            first.RootElement.GetProperty("line").GetProperty("machines").EnumerateArray().Select(Name)
        );
        Assert.Equal("tea-2", Name(second.RootElement.GetProperty("machine")));
        JsonElement trace = second.RootElement.GetProperty("trace");
        Assert.True(first.RootElement.GetProperty("trace").GetProperty("anew").GetBoolean());
        Assert.False(trace.GetProperty("anew").GetBoolean());
        // A second at 25 a second.
        Assert.InRange(trace.GetProperty("fill").GetArrayLength(), 1, 100);
        Assert.Equal(50, trace.GetProperty("fill")[0].GetDouble());
    }

    [Fact]
    public async Task With_a_token_nothing_is_shown_before_it_is_entered()
    {
        await using TestHall hall = new("tea");
        await using RunningAgent agent = Page(hall, _tokenFile);

        using HttpResponseMessage before = await GetAsync(agent, "/machine/tea-1");
        Assert.Equal(HttpStatusCode.Unauthorized, before.StatusCode);
        Assert.DoesNotContain(
            "tea-1",
            await before.Content.ReadAsStringAsync(s_end),
            StringComparison.Ordinal
        );

        using HttpResponseMessage wrong = await EnterAsync(agent, "lapsang-souchong-0042");
        Assert.Equal(HttpStatusCode.Unauthorized, wrong.StatusCode);
        Assert.False(wrong.Headers.Contains("Set-Cookie"));

        using HttpResponseMessage right = await EnterAsync(agent, Token);
        Assert.Equal(HttpStatusCode.SeeOther, right.StatusCode);
        string cookie = right.Headers.GetValues("Set-Cookie").Single();
        Assert.Contains("HttpOnly; SameSite=Strict", cookie, StringComparison.Ordinal);
        Assert.DoesNotContain(Token, cookie, StringComparison.Ordinal);

        using HttpRequestMessage request = new(HttpMethod.Get, Address(agent, "/machine/tea-1"));
        request.Headers.Add("Cookie", $"other=1; {cookie.Split(';')[0]}");
        using HttpResponseMessage after = await _browser.SendAsync(request, s_end);
        Assert.Equal(HttpStatusCode.OK, after.StatusCode);
    }

    [Fact]
    public async Task A_script_sends_the_token_as_a_bearer()
    {
        await using TestHall hall = new("tea");
        await using RunningAgent agent = Page(hall, _tokenFile);
        using HttpRequestMessage request = new(HttpMethod.Get, Address(agent, "/"));
        request.Headers.Authorization = new("Bearer", Token);

        using HttpResponseMessage answer = await _browser.SendAsync(request, s_end);

        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
    }

    [Fact]
    public async Task A_page_that_cannot_be_served_is_told_and_watching_goes_on()
    {
        RecordingLogger<PageServer> log = new();
        await File.WriteAllTextAsync(_tokenFile, "short\n", s_end);

        PageServer? page = PageServer.Open(
            new StatusPageSettings
            {
                Enabled = true,
                Port = 0,
                TokenFile = _tokenFile,
            },
            () => [],
            new MonotonicClock(TimeProvider.System),
            log
        );

        Assert.Null(page);
        (LogLevel level, int id, string text) = Assert.Single(log.Entries);
        Assert.Equal((LogLevel.Error, 2501), (level, id));
        Assert.Contains("has 5 characters. Allowed: 16 or more.", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Twenty_viewers_are_served_at_once_and_a_crowd_beyond_all_bounds_is_sent_away()
    {
        await using TestHall hall = new("tea");
        await using RunningAgent agent = Page(hall);
        await agent.ComesRoundAsync();
        List<Stream> viewers = [];
        for (int i = 0; i < 20; i++)
            viewers.Add(await _browser.GetStreamAsync(Address(agent, "/events?machine=tea-1"), s_end));
        foreach (Stream viewer in viewers)
        {
            using StreamReader lines = new(viewer);
            using JsonDocument frame = await NextAsync(lines);
            Assert.Equal("tea-1", Name(frame.RootElement.GetProperty("machine")));
        }

        // Those have gone; now more than the page has room for stay.
        bool[] served = await Task.WhenAll(
            Enumerable.Range(0, 100).Select(_ => IsServedAsync(Address(agent, "/events")))
        );

        Assert.InRange(served.Count(one => one), 20, 64);
        Assert.True(agent.Agent.HasComeRound);
    }

    /// <summary>Whether an answer begins; it is not read to its end.</summary>
    private async Task<bool> IsServedAsync(Uri address)
    {
        try
        {
            await _browser.GetAsync(address, HttpCompletionOption.ResponseHeadersRead, s_end);
            return true;
        }
        catch (HttpRequestException)
        {
            return false;
        }
    }

    private static RunningAgent Page(TestHall hall, string? tokenFile = null) =>
        new(
            Settings(
                hall,
                new StatusPageSettings
                {
                    Enabled = true,
                    Port = 0,
                    TokenFile = tokenFile,
                }
            ),
            NullLoggerFactory.Instance
        );

    private static AgentSettings Settings(TestHall hall, StatusPageSettings page) =>
        TestHall.Watching([hall.Settings], [.. Enumerable.Range(1, hall.Machines).Select(hall.Machine)]) with
        {
            StatusPage = page,
            Recordings = new RecordingSettings { Enabled = false },
        };

    private Task<HttpResponseMessage> GetAsync(RunningAgent agent, string path) =>
        _browser.GetAsync(Address(agent, path), s_end);

    private async Task<HttpResponseMessage> EnterAsync(RunningAgent agent, string token)
    {
        using FormUrlEncodedContent form = new([new("token", token)]);
        return await _browser.PostAsync(Address(agent, "/enter"), form, s_end);
    }

    private static Uri Address(RunningAgent agent, string path) =>
        new($"http://{agent.Agent.PageEndPoint}{path}");

    private static async Task<JsonDocument> NextAsync(StreamReader lines)
    {
        while (await lines.ReadLineAsync(s_end) is { } line)
        {
            if (line.StartsWith("data: ", StringComparison.Ordinal))
                return JsonDocument.Parse(line["data: ".Length..]);
        }
        throw new EndOfStreamException("The events ended.");
    }

    private static string? Name(JsonElement machine) => machine.GetProperty("machine").GetString();

    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;
}
