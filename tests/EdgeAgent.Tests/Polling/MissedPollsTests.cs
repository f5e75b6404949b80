using Dancerwatch.EdgeAgent.Polling;

namespace Dancerwatch.EdgeAgent.Tests.Polling;

public sealed class MissedPollsTests
{
    private readonly RecordingLogger<MissedPolls> _log = new();

    [Fact]
    public void Missed_polls_are_told_at_once_then_once_a_minute_with_their_number()
    {
        MissedPolls missed = new("packing", _log);

        missed.Count(0, now: 0);
        Assert.Empty(_log.Entries);
        missed.Count(3, now: 1);
        missed.Count(1, now: TimeSpan.TicksPerSecond);
        missed.Count(1, now: TimeSpan.TicksPerMinute);
        Assert.Single(_log.Entries);
        missed.Count(0, now: TimeSpan.TicksPerMinute + 1);

        Assert.Equal(
            ["3 polls of packing were missed", "2 polls of packing were missed"],
            _log.Entries.Select(entry => entry.Text.Split(':')[0])
        );
        missed.Count(0, now: 10 * TimeSpan.TicksPerMinute);
        Assert.Equal(2, _log.Entries.Count);
    }
}
