using System.Net;
using System.Text;
using Dancerwatch.EdgeAgent.Telemetry.Prometheus;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Web;

namespace Dancerwatch.EdgeAgent.StatusPage;

/// <summary>What is answered to which request. Nothing here changes anything.</summary>
/// <param name="watches">The machines watched now.</param>
/// <param name="metrics">The daemon's own meters.</param>
internal sealed class PageRoutes(
    PageGate gate,
    Func<IReadOnlyList<MachineWatch>> watches,
    MetricsScrape metrics
)
{
    private const string MachinePath = "/machine/";
    private const string EventsPath = "/events";
    private const string MetricsPath = "/metrics";
    private const string EnterPath = "/enter";

    private static readonly string[] s_scripts = ["words", "line", "charts", "machine", "events"];

    private static readonly Dictionary<string, Lazy<PageReply>> s_files = new()
    {
        ["/page.css"] = File(
            "text/css; charset=utf-8",
            () => WebAsset.Text("ground.css") + WebAsset.ChartStyle + WebAsset.Text("page/page.css")
        ),
        ["/page.js"] = File("text/javascript; charset=utf-8", PageScript),
        ["/chart.js"] = File("text/javascript; charset=utf-8", () => WebAsset.ChartScript),
    };

    private static readonly Lazy<PageReply> s_page = File(
        PageReply.Html,
        () => WebAsset.Text("page/page.html")
    );

    /// <param name="entered">Told whether a token that was entered is right.</param>
    public PageReply Answer(PageRequest request, Action<bool> entered)
    {
        if (request is { Method: "POST", Path: EnterPath } && gate.NeedsToken)
            return Enter(request, entered);
        if (request.Method != "GET")
            return PageReply.Text(405, "This page is for looking only: GET is all it answers.");
        // The look of the page where a token is entered is no secret.
        if (request.Path == "/page.css")
            return s_files[request.Path].Value;
        if (!gate.LetsIn(request))
            return gate.NeedsToken
                ? Door("", 401)
                : PageReply.Text(403, "Call this page by the name 127.0.0.1 or localhost.");
        if (s_files.TryGetValue(request.Path, out Lazy<PageReply>? file))
            return file.Value;
        if (request.Path == "/")
            return s_page.Value;
        if (request.Path.StartsWith(MachinePath, StringComparison.Ordinal))
        {
            string name = request.Path[MachinePath.Length..];
            return IsWatched(name) ? s_page.Value : Unknown(name);
        }
        if (request.Path == EventsPath)
        {
            const string key = "machine=";
            if (request.Query.Length == 0)
                return PageReply.Events("");
            string name = request.Query.StartsWith(key, StringComparison.Ordinal)
                ? request.Query[key.Length..]
                : request.Query;
            return IsWatched(name) ? PageReply.Events(name) : Unknown(name);
        }
        if (request.Path == MetricsPath)
            return new PageReply(200, MetricText.ContentType, metrics.Text());
        return PageReply.Text(404, $"There is nothing at {request.Path}. Try /.");
    }

    private PageReply Enter(PageRequest request, Action<bool> entered)
    {
        const string key = "token=";
        string token = request.Body.StartsWith(key, StringComparison.Ordinal)
            ? WebUtility.UrlDecode(request.Body[key.Length..])
            : "";
        bool isRight = gate.IsToken(token);
        entered(isRight);
        return isRight ? PageReply.SeeOther("/", gate.PassHeader()) : Door("That is not the token.", 401);
    }

    private bool IsWatched(string name) => watches().Any(watch => watch.Place.Machine == name);

    private PageReply Unknown(string name) =>
        PageReply.Text(
            404,
            $"There is no machine \"{name}\". Watched are: {string.Join(", ", watches().Select(watch => watch.Place.Machine))}."
        );

    private static PageReply Door(string trouble, int status) =>
        new(
            status,
            PageReply.Html,
            Encoding.UTF8.GetBytes(
                WebAsset
                    .Text("page/door.html")
                    .Replace("{trouble}", WebUtility.HtmlEncode(trouble), StringComparison.Ordinal)
            )
        );

    /// <summary>One function of the page's own around its parts, in the order in which they build on each other.</summary>
    private static string PageScript() =>
        $$"""
            "use strict";
            (() => {
            const chosen = location.pathname.startsWith("/machine/") ? decodeURIComponent(location.pathname.slice(9)) : "";
            {{string.Concat(s_scripts.Select(name => WebAsset.Text($"page/{name}.js")))}}
            })();

            """;

    private static Lazy<PageReply> File(string type, Func<string> text) =>
        new(() => new PageReply(200, type, Encoding.UTF8.GetBytes(text())));
}
