using System.Text.Json;

namespace Dancerwatch.EndToEnd.Tests.Sparkplug;

/// <summary>
/// A host application of another hand, <c>Host/host.js</c>: what it hears, in order, and each rule of the specification that it
/// saw broken.
/// </summary>
internal sealed class SparkplugHost : IAsyncDisposable
{
    public const string Group = "leafside";
    public const string Name = "scada";

    private readonly ToolProcess _node;

    // How far each kind of message has been asked for.
    private readonly Dictionary<string, int> _next = [];

    /// <summary>Skips the test where node or the host's packages are not installed.</summary>
    public SparkplugHost(int port)
    {
        string folder = RepositoryFiles.PathOf("tests", "EndToEnd.Tests", "Sparkplug", "Host");
        Assert.SkipUnless(
            Directory.Exists(Path.Combine(folder, "node_modules")),
            "npm ci was not run in tests/EndToEnd.Tests/Sparkplug/Host"
        );
        _node = new ToolProcess(
            ToolProcess.Require("node"),
            Path.Combine(folder, "host.js"),
            $"{port}",
            Group,
            Name
        );
    }

    /// <summary>Rules that were broken.</summary>
    public IEnumerable<string> Faults =>
        _node.Lines.Where(line =>
            !line.StartsWith('{') || line.Contains("\"fault\"", StringComparison.Ordinal)
        );

    public Task TellAsync(string command) => _node.TypeAsync(command);

    /// <summary>Waits until it has said, over a new connection, that it is online.</summary>
    public Task OnlineAsync() => NextAsync("STATE", line => line.TryGetProperty("host", out _));

    /// <summary>The birth of the node over its next connection.</summary>
    /// <param name="after">Number of the connection before.</param>
    public Task<HostMessage> BirthAsync(int after = -1) =>
        HearsAsync("NBIRTH", fits: birth => birth.Connection != after);

    /// <summary>The next message of a type (and device) that fits, after the one that was asked for before; waits for it.</summary>
    public Task<HostMessage> HearsAsync(
        string type,
        string? device = null,
        Func<HostMessage, bool>? fits = null
    ) =>
        NextAsync(
            $"{type} {device}",
            line =>
                line.TryGetProperty("heard", out JsonElement heard)
                && heard.ValueEquals(type)
                && (device is null || line.GetProperty("device").ValueEquals(device))
                && (fits is null || fits(new HostMessage(line)))
        );

    public ValueTask DisposeAsync() => _node.DisposeAsync();

    private async Task<HostMessage> NextAsync(string what, Func<JsonElement, bool> fits)
    {
        JsonDocument found = await Eventually.GetAsync(
            () =>
            {
                string[] lines = [.. _node.Lines];
                for (int at = _next.GetValueOrDefault(what); at < lines.Length; at++)
                {
                    _next[what] = at + 1;
                    if (!lines[at].StartsWith('{'))
                        continue;
                    JsonDocument line = JsonDocument.Parse(lines[at]);
                    if (fits(line.RootElement))
                        return line;
                }
                return null;
            },
            $"{what} at the host",
            seconds: 20
        );
        return new HostMessage(found.RootElement);
    }
}

/// <summary>A message as the host understood it.</summary>
internal readonly record struct HostMessage(JsonElement Line)
{
    public int Sequence => Line.GetProperty("seq").GetInt32();

    /// <summary>Number of the connection, of births and deaths of the node.</summary>
    public int Connection => Line.GetProperty("bdSeq").GetInt32();

    /// <summary>Whether a death ends the session that is.</summary>
    public bool Counts => Line.GetProperty("counts").GetBoolean();

    /// <summary>Of an event: when its occurrence was raised, ms since 1970-01-01 UTC.</summary>
    public long Onset => long.Parse(this["event/id"].GetString()!.Split(':')[^2], provider: null);

    /// <summary>A metric's value; undefined where the message does not have it.</summary>
    public JsonElement this[string metric] =>
        Line.GetProperty("metrics").TryGetProperty(metric, out JsonElement value) ? value : default;

    public long? Whole(string metric) =>
        this[metric] is { ValueKind: JsonValueKind.Number } number ? number.GetInt64() : null;

    public bool Has(string metric, string value) =>
        this[metric] is { ValueKind: JsonValueKind.String } text && text.ValueEquals(value);

    public bool IsHistorical(string metric) =>
        Line.GetProperty("historical").EnumerateArray().Any(name => name.ValueEquals(metric));
}
