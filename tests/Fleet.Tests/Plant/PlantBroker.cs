using System.Text.Json;
using Dancerwatch.EndToEnd.Tests;

namespace Dancerwatch.Fleet.Tests.Plant;

/// <summary>A mosquitto in the plant, and a subscriber that keeps every event as it arrives.</summary>
internal sealed class PlantBroker : IAsyncDisposable
{
    private readonly ToolProcess _broker;
    private readonly ToolProcess _listener;

    private PlantBroker(ToolProcess broker, ToolProcess listener) =>
        (_broker, _listener) = (broker, listener);

    public static void RequirePrograms()
    {
        ToolProcess.Require("mosquitto");
        ToolProcess.Require("mosquitto_sub");
    }

    public static async Task<PlantBroker> StartAsync(PlantNetwork network, string directory)
    {
        string settings = Path.Combine(directory, "mosquitto.conf");
        await File.WriteAllTextAsync(
            settings,
            $"listener 1883 {PlantNetwork.Broker}\nallow_anonymous true\nmax_queued_messages 0\n"
        );
        string[] serve = [.. network.Shared, ToolProcess.Require("mosquitto"), "-c", settings];
        ToolProcess broker = new(serve[0], serve[1..]);
        await broker.LineAsync(line => line.Contains("running", StringComparison.Ordinal));
        string[] listen =
        [
            .. network.Shared,
            "stdbuf",
            "-oL",
            "mosquitto_sub",
            "-h",
            $"{PlantNetwork.Broker}",
            "-V",
            "5",
            "-q",
            "1",
            "-d",
            "-t",
            "dancerwatch/v1/+/+/+/+/event",
        ];
        ToolProcess listener = new(listen[0], listen[1..]);
        await listener.LineAsync(line => line.Contains("Subscribed", StringComparison.Ordinal));
        return new PlantBroker(broker, listener);
    }

    /// <summary>Every event that arrived, in order.</summary>
    public IReadOnlyList<HeardEvent> Heard() =>
        [.. _listener.Lines.Where(line => line.StartsWith('{')).Select(HeardEvent.Of)];

    public async ValueTask DisposeAsync()
    {
        await _listener.DisposeAsync();
        await _broker.DisposeAsync();
    }
}

/// <param name="Occurrence">Machine, condition and onset: the id without its step.</param>
/// <param name="Text">All of it but the sequence, which is its sender's.</param>
internal sealed record HeardEvent(string Id, string Occurrence, int Step, string State, string Text)
{
    public static HeardEvent Of(string json)
    {
        using JsonDocument document = JsonDocument.Parse(json);
        JsonElement root = document.RootElement;
        string id = root.GetProperty("id").GetString()!;
        int cut = id.LastIndexOf(':');
        return new HeardEvent(
            id,
            id[..cut],
            int.Parse(id[(cut + 1)..], System.Globalization.CultureInfo.InvariantCulture),
            root.GetProperty("data").GetProperty("state").GetString()!,
            json.Replace(
                $"\"sequence\":\"{root.GetProperty("sequence").GetString()}\"",
                "",
                StringComparison.Ordinal
            )
        );
    }
}
