using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.Signals.Recognition;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EdgeAgent.Discovery;

/// <summary>What tags held over a few seconds. Reads only.</summary>
internal sealed class LiveValues
{
    private readonly Dictionary<TagRequest, List<double>> _values = [];
    private readonly Dictionary<TagRequest, string> _troubles = [];

    private LiveValues() { }

    /// <summary>Reads tags again and again.</summary>
    /// <param name="troubled">Told one sentence where the controller stops answering.</param>
    public static async Task<LiveValues> ReadAsync(
        ControllerSettings controller,
        IReadOnlyList<TagRequest> tags,
        TimeSpan duration,
        MonotonicClock clock,
        Action<string> troubled,
        CancellationToken cancellation
    )
    {
        LiveValues live = new();
        foreach (TagRequest tag in tags)
            live._values[tag] = [];
        await using ITagReader reader = TagReaders.Create(
            controller,
            tags,
            clock,
            NullLoggerFactory.Instance
        );
        TagSnapshot snapshot = new(tags.Count);
        TimeSpan pause = TimeSpan.FromMilliseconds(controller.PollMilliseconds);
        long end = clock.Ticks + duration.Ticks;
        do
        {
            await reader.ReadAsync(snapshot, cancellation);
            for (int i = 0; i < tags.Count; i++)
            {
                if (snapshot.Statuses[i] == TagStatus.Good && tags[i].Type != TagType.String)
                    live._values[tags[i]].Add(snapshot.Numbers[i]);
            }
            await Task.Delay(pause, clock.Time, cancellation);
        } while (clock.Ticks < end);
        if (reader.Trouble is { } trouble)
            troubled(trouble);
        for (int i = 0; i < tags.Count; i++)
        {
            if (reader.TagTrouble(i) is { } why)
                live._troubles[tags[i]] = why;
        }
        return live;
    }

    /// <summary>Traits of the signal a tag would give.</summary>
    public SeriesTraits Of(Candidate candidate) =>
        SeriesTraits.Of([
            .. _values[candidate.Tag].Select(value => (value * candidate.Scale) + candidate.Offset),
        ]);

    /// <summary>Why a tag could not be read; null where it could.</summary>
    public string? TroubleOf(TagRequest tag) => _troubles.GetValueOrDefault(tag);
}
