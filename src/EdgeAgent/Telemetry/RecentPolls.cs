using Dancerwatch.EdgeAgent.Polling;

namespace Dancerwatch.EdgeAgent.Telemetry;

/// <summary>
/// The latest polls, to be found by the time that their readings bear: so an event's trace can begin with its poll, and the
/// event need carry nothing for it. Thread-safe; allocates once, at the first poll.
/// </summary>
internal sealed class RecentPolls
{
    /// <summary>More than a second of 16 controllers at 20 ms; an event is at the broker some milliseconds after its poll.</summary>
    private const int Kept = 1_024;

    private readonly Lock _gate = new();
    private (string Controller, PollTimes Times)[]? _polls;
    private int _next;

    public void Note(string controller, in PollTimes times)
    {
        lock (_gate)
        {
            _polls ??= new (string, PollTimes)[Kept];
            _polls[_next] = (controller, times);
            _next = (_next + 1) % Kept;
        }
    }

    /// <returns>Null where it is not among the latest.</returns>
    public (string Controller, PollTimes Times)? Find(long reading)
    {
        lock (_gate)
        {
            foreach ((string Controller, PollTimes Times) poll in _polls ?? [])
            {
                if (poll.Times.Reading == reading && poll.Controller is not null)
                    return poll;
            }
            return null;
        }
    }
}
