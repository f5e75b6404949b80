namespace Dancerwatch.EdgeAgent.Controllers;

/// <summary>A connection over which the tags of one controller are read, as long as it stands. One read at a time.</summary>
internal interface ITagLink : IDisposable
{
    /// <summary>For the log: how the controller is read over it.</summary>
    string Description { get; }

    /// <summary>Why the controller granted less than was asked for; null where it did not.</summary>
    string? Refusal { get; }

    /// <summary>Reads each tag once; the snapshot's time is halfway between the first request and the last answer.</summary>
    /// <exception cref="LinkException">It is of no use any more.</exception>
    /// <exception cref="OperationCanceledException">Not done in time; it is of no use any more.</exception>
    ValueTask ReadAsync(TagSnapshot into, CancellationToken cancellation);

    /// <summary>Takes leave of the controller, in good order where that is quick. Throws where it is not.</summary>
    Task CloseAsync(CancellationToken cancellation);
}
