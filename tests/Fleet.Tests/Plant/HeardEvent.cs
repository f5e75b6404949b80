using System.Globalization;
using System.Text.Json;

namespace Dancerwatch.Fleet.Tests.Plant;

/// <summary>An event as it arrived.</summary>
/// <param name="Subject">Machine and condition.</param>
/// <param name="Onset">When this occurrence began, ms since 1970.</param>
/// <param name="Text">All of it but the sequence, which is its sender's.</param>
internal sealed record HeardEvent(string Id, string Subject, long Onset, int Step, string State, string Text)
{
    public string Occurrence => $"{Subject}:{Onset}";

    public static HeardEvent Of(string json)
    {
        using JsonDocument document = JsonDocument.Parse(json);
        JsonElement root = document.RootElement;
        // machine:condition:onset:step
        string id = root.GetProperty("id").GetString()!;
        string[] parts = id.Split(':');
        string sequence = $"\"sequence\":\"{root.GetProperty("sequence").GetString()}\"";
        return new HeardEvent(
            id,
            string.Join(':', parts[..^2]),
            long.Parse(parts[^2], CultureInfo.InvariantCulture),
            int.Parse(parts[^1], CultureInfo.InvariantCulture),
            root.GetProperty("data").GetProperty("state").GetString()!,
            json.Replace(sequence, "", StringComparison.Ordinal)
        );
    }
}
