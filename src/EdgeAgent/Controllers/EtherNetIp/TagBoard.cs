using System.Text;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>
/// The tags of one controller: their plans, and what came of each when it was last asked for. Outlives connections, so
/// that trouble with a tag is logged when it begins and when it ends, not on every poll and not on every reconnect.
/// </summary>
internal sealed class TagBoard
{
    private readonly string _controller;
    private readonly ILogger _logger;
    private readonly TagOutcome[] _outcomes;
    private readonly string?[] _troubles;
    private readonly string?[] _texts;

    public TagBoard(string controller, IReadOnlyList<TagRequest> tags, ILogger logger)
    {
        _controller = controller;
        _logger = logger;
        _outcomes = new TagOutcome[tags.Count];
        _troubles = new string?[tags.Count];
        _texts = new string?[tags.Count];
        TagPlan?[] plans = new TagPlan?[tags.Count];
        for (int i = 0; i < tags.Count; i++)
        {
            if (TagAddress.TryParse(tags[i], out TagAddress? address, out string? problem))
                plans[i] = new TagPlan(tags[i], address!);
            else
                logger.TagTroubleBegan(controller, _troubles[i] = problem!);
        }
        Plans = plans;
    }

    /// <summary>A plan for each tag; null for one whose name no controller can know.</summary>
    public IReadOnlyList<TagPlan?> Plans { get; }

    /// <summary>One sentence on what is wrong with a tag; null while nothing is.</summary>
    public string? Trouble(int tag) => _troubles[tag];

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
        into.Texts[tag] = hasText ? Text(tag, text) : null;
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
        string? trouble = outcome.Describe(Plans[tag]!);
        if (trouble is not null)
            _logger.TagTroubleBegan(_controller, trouble);
        else if (_troubles[tag] is not null)
            _logger.TagTroubleEnded(_controller, Plans[tag]!.Tag.Name);
        _troubles[tag] = trouble;
    }

    // The same instance while the text stays the same.
    private string Text(int tag, ReadOnlySpan<byte> bytes)
    {
        string? last = _texts[tag];
        return last is not null && SameText(last, bytes)
            ? last
            : _texts[tag] = Encoding.Latin1.GetString(bytes);
    }

    private static bool SameText(string text, ReadOnlySpan<byte> bytes)
    {
        if (text.Length != bytes.Length)
            return false;
        for (int i = 0; i < bytes.Length; i++)
        {
            if (text[i] != bytes[i])
                return false;
        }
        return true;
    }
}
