using System.Globalization;
using System.Text.Json;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Outbox;

namespace Dancerwatch.EndToEnd.Tests.Outbox;

/// <summary>What a subscriber has heard of events, and what is to be said of it.</summary>
internal sealed class Delivery
{
    private readonly Dictionary<long, string> _ids = [];
    private readonly HashSet<string> _known = [];

    /// <param name="lines">As <c>mosquitto_sub</c> prints them: RETAINED QOS TOPIC PAYLOAD.</param>
    public Delivery(IEnumerable<string> lines)
    {
        foreach (string line in lines)
        {
            int at = line.IndexOf('{', StringComparison.Ordinal);
            if (at < 0)
                continue;
            byte[] payload = System.Text.Encoding.UTF8.GetBytes(line[at..]);
            if (ReceivedLoss.TryRead(payload, out ReceivedLoss? loss))
                Hear(loss.Lost);
            else
                Hear(JsonDocument.Parse(payload).RootElement);
        }
    }

    /// <summary>Waits until a subscriber has an event's number, or the word that it is lost.</summary>
    public static async Task ReachesAsync(ToolProcess subscriber, long number)
    {
        if (number > 0)
            await subscriber.LineAsync(line => IsOf(line, number));
    }

    /// <summary>Whether a line is of that event, or of lost ones up to it.</summary>
    public static bool IsOf(string line, long number) =>
        line.Contains(
            string.Create(CultureInfo.InvariantCulture, $"\"sequence\":\"{number:D10}\""),
            StringComparison.Ordinal
        );

    /// <summary>Numbers that arrived, each once.</summary>
    public IReadOnlyCollection<long> Arrived => _ids.Keys;

    /// <summary>Numbers told as lost.</summary>
    public HashSet<long> Lost { get; } = [];

    /// <summary>Events that arrived again.</summary>
    public int Repeats { get; private set; }

    /// <summary>The highest number that arrived or was told as lost.</summary>
    public long Last { get; private set; }

    /// <summary>Ids that are not what another number had said, and numbers out of order at their first arrival.</summary>
    public List<string> Contradictions { get; } = [];

    /// <summary>Numbers up to <paramref name="last"/> of which nothing was heard.</summary>
    public IEnumerable<long> Missing(long last)
    {
        for (long number = 1; number <= last; number++)
        {
            if (!_ids.ContainsKey(number) && !Lost.Contains(number))
                yield return number;
        }
    }

    /// <summary>Whether an event has arrived, by its id.</summary>
    public bool HasArrived(string id) => _known.Contains(id);

    private void Hear(JsonElement heard)
    {
        string id = heard.GetProperty("id").GetString()!;
        long number = long.Parse(heard.GetProperty("sequence").GetString()!, provider: null);
        if (_ids.TryGetValue(number, out string? before))
        {
            Repeats++;
            if (before != id)
                Contradictions.Add($"{number} was {before} and is {id}");
            return;
        }
        if (number < Last)
            Contradictions.Add($"{number} comes after {Last}");
        if (!_known.Add(id))
            Contradictions.Add($"{id} has two numbers, {number} is one");
        _ids[number] = id;
        Last = Math.Max(Last, number);
    }

    private void Hear(LostRange lost)
    {
        for (long number = lost.First; number <= lost.Last; number++)
        {
            if (!_ids.ContainsKey(number))
                Lost.Add(number);
        }
        Last = Math.Max(Last, lost.Last);
    }
}
