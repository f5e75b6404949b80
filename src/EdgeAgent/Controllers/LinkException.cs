namespace Dancerwatch.EdgeAgent.Controllers;

/// <summary>The connection as a whole is of no use any more; it must be closed and opened anew.</summary>
/// <param name="status">What becomes of the tags that were still to be read.</param>
/// <param name="what">What happened and what to try: the sentence after "controller X at host:port".</param>
internal class LinkException(TagStatus status, string what) : Exception(what)
{
    public TagStatus Status { get; } = status;

    /// <summary>Bytes came that are no answer to what was asked.</summary>
    public static LinkException Garbled(string what) =>
        new(
            TagStatus.Garbled,
            $"answered what is not EtherNet/IP as asked ({what}); the connection was closed and is opened again. If it goes on, check that the address and port belong to the controller"
        );
}
