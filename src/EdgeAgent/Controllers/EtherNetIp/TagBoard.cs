using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>
/// The tags of one controller: their plans, and what came of each when it was last asked for. Outlives connections, so
/// that trouble with a tag is logged when it begins and when it ends, not on every poll and not on every reconnect.
/// </summary>
internal sealed class TagBoard
{
    private readonly TagOutcome[] _outcomes;
    private readonly TagTroubles _troubles;
    private readonly TagTexts _texts;

    public TagBoard(string controller, IReadOnlyList<TagRequest> tags, ILogger logger)
    {
        _outcomes = new TagOutcome[tags.Count];
        _troubles = new TagTroubles(controller, tags, logger);
        _texts = new TagTexts(tags.Count);
        TagPlan?[] plans = new TagPlan?[tags.Count];
        for (int i = 0; i < tags.Count; i++)
        {
            if (TagAddress.TryParse(tags[i], out TagAddress? address, out string? problem))
                plans[i] = new TagPlan(tags[i], address!);
            else
                _troubles.Tell(i, problem);
        }
        Plans = plans;
    }

    /// <summary>A plan for each tag; null for one whose name no controller can know.</summary>
    public IReadOnlyList<TagPlan?> Plans { get; }

    /// <summary>One sentence on what is wrong with a tag; null while nothing is.</summary>
    public string? Trouble(int tag) => _troubles.Of(tag);

    /// <summary>Marks the tags that are never asked for; the others are filled in by the round.</summary>
    public void Begin(TagSnapshot into)
    {
        for (int i = 0; i < Plans.Count; i++)
        {
            if (Plans[i] is not null)
                continue;
            into.Statuses[i] = TagStatus.NoSuchTag;
            into.Numbers[i] = double.NaN;
            into.Texts[i] = null;
        }
    }

    /// <summary>Decodes the data of a reply; a good value lands in <paramref name="into"/>.</summary>
    public TagOutcome Decode(int tag, ReadOnlySpan<byte> data, TagSnapshot into)
    {
        TagPlan plan = Plans[tag]!;
        TagOutcome outcome = TagDecoder.Decode(plan, data, out double number, out ReadOnlySpan<byte> text);
        into.Numbers[tag] = number;
        bool hasText = outcome.Status == TagStatus.Good && plan.Tag.Type == TagType.String;
        into.Texts[tag] = hasText ? _texts.Of(tag, text) : null;
        return outcome;
    }

    /// <summary>Records what came of a tag.</summary>
    public void Set(int tag, TagOutcome outcome, TagSnapshot into)
    {
        into.Statuses[tag] = outcome.Status;
        if (outcome.Status != TagStatus.Good)
        {
            into.Numbers[tag] = double.NaN;
            into.Texts[tag] = null;
        }
        if (outcome == _outcomes[tag])
            return;
        _outcomes[tag] = outcome;
        _troubles.Tell(tag, outcome.Describe(Plans[tag]!));
    }
}
