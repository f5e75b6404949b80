using System.Globalization;
using System.Net;

namespace Dancerwatch.Fleet.Demo;

/// <summary>
/// Who polled one controller when, as the controller saw it. A connection that another host's has followed must never poll
/// again: where it does, two hosts poll at once, and it is counted.
/// </summary>
/// <param name="name">Of the controller.</param>
internal sealed class PollTally(string name, TimeProvider time)
{
    private readonly Lock _gate = new();
    private readonly List<Turn> _turns = [];
    private readonly Dictionary<IPEndPoint, long> _followed = [];
    private long _pollsAtOnce;
    private TimeSpan _longestAtOnce;

    /// <summary>Takes a poll.</summary>
    public void Count(IPEndPoint client)
    {
        long now = time.GetTimestamp();
        lock (_gate)
        {
            if (_followed.TryGetValue(client, out long since))
            {
                _pollsAtOnce++;
                TimeSpan atOnce = time.GetElapsedTime(since, now);
                _longestAtOnce = atOnce > _longestAtOnce ? atOnce : _longestAtOnce;
                return;
            }
            DateTimeOffset wall = time.GetUtcNow();
            if (_turns is not [.., { } last] || !last.Client.Address.Equals(client.Address))
            {
                foreach (Turn before in _turns)
                    _followed.TryAdd(before.Client, now);
                _turns.Add(new Turn(client, wall));
            }
            _turns[^1] = _turns[^1] with { Client = client, Last = wall, Polls = _turns[^1].Polls + 1 };
        }
    }

    /// <summary>A line for each host's turn (<c>turn,controller,host,first,last,polls</c>, ms since 1970), then one of polls at once.</summary>
    public IEnumerable<string> Lines()
    {
        lock (_gate)
        {
            return
            [
                .. _turns.Select(turn =>
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"turn,{name},{turn.Client.Address},{turn.First.ToUnixTimeMilliseconds()},{turn.Last.ToUnixTimeMilliseconds()},{turn.Polls}"
                    )
                ),
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"at-once,{name},{_pollsAtOnce},{_longestAtOnce.TotalMilliseconds:F0}"
                ),
            ];
        }
    }

    private sealed record Turn(IPEndPoint Client, DateTimeOffset First)
    {
        public DateTimeOffset Last { get; init; }
        public long Polls { get; init; }
    }
}
