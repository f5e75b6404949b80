namespace Dancerwatch.EdgeAgent.Controllers;

/// <summary>Reads the tags of one controller. Drivers implement this and nothing else; there is no way to write.</summary>
public interface ITagReader : IAsyncDisposable
{
    /// <summary>The tags, in the order of <see cref="TagSnapshot"/>.</summary>
    IReadOnlyList<TagRequest> Tags { get; }

    /// <summary>
    /// Reads each tag once, connecting first where needed. Trouble with the controller or the network is told by the
    /// statuses and <see cref="Trouble"/>, not thrown, and one bad tag spoils nothing else.
    /// </summary>
    /// <exception cref="OperationCanceledException"><paramref name="cancellation"/> was cancelled.</exception>
    ValueTask ReadAsync(TagSnapshot into, CancellationToken cancellation);

    /// <summary>One sentence on the last trouble with the connection as a whole; null while all is well.</summary>
    string? Trouble { get; }

    /// <summary>One sentence on the last trouble with one tag (by its place), naming it and both types where types differ; null while all is well.</summary>
    string? TagTrouble(int tag);
}
