using System.Diagnostics.CodeAnalysis;
using System.Text.Json;
using Dancerwatch.EdgeAgent.Outbox;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>The word of a daemon that events are lost, as it came from a broker.</summary>
/// <param name="Payload">The payload as it came.</param>
internal sealed record ReceivedLoss(
    string Agent,
    DateTimeOffset Time,
    LostRange Lost,
    ReadOnlyMemory<byte> Payload
)
{
    /// <summary>Reads a payload; false where it is something else.</summary>
    public static bool TryRead(ReadOnlyMemory<byte> payload, [NotNullWhen(true)] out ReceivedLoss? read)
    {
        read = null;
        try
        {
            using JsonDocument document = JsonDocument.Parse(payload);
            JsonElement sent = document.RootElement;
            if (!sent.GetProperty("type").ValueEquals(LossPayload.Type))
                return false;
            JsonElement data = sent.GetProperty("data");
            read = new ReceivedLoss(
                data.GetProperty("agent").GetString() ?? "",
                DateTimeOffset.FromUnixTimeMilliseconds(data.GetProperty("ts").GetInt64()),
                new LostRange(
                    data.GetProperty("first_sequence").GetInt64(),
                    data.GetProperty("last_sequence").GetInt64(),
                    data.GetProperty("events").GetInt64()
                ),
                payload
            );
            return true;
        }
        catch (Exception e)
            when (e
                    is JsonException
                        or InvalidOperationException
                        or KeyNotFoundException
                        or FormatException
                        or ArgumentOutOfRangeException
            )
        {
            return false;
        }
    }
}
