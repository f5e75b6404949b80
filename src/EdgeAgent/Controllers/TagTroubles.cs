using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Controllers;

/// <summary>What is wrong with the tags of one controller, one sentence each: logged when it begins and when it ends, not on every poll and not on every reconnect.</summary>
internal sealed class TagTroubles(string controller, IReadOnlyList<TagRequest> tags, ILogger logger)
{
    private readonly string?[] _troubles = new string?[tags.Count];

    /// <summary>Null while nothing is wrong.</summary>
    public string? Of(int tag) => _troubles[tag];

    /// <param name="trouble">Null: nothing is wrong any more.</param>
    public void Tell(int tag, string? trouble)
    {
        if (trouble is not null)
            logger.TagTroubleBegan(controller, trouble);
        else if (_troubles[tag] is not null)
            logger.TagTroubleEnded(controller, tags[tag].Name);
        _troubles[tag] = trouble;
    }
}
