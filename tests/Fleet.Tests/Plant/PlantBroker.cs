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
