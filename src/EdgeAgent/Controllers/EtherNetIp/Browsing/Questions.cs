namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp.Browsing;

/// <summary>How a question was answered, kept beyond the next one.</summary>
internal readonly record struct Answer(byte Status, string Meaning, byte[] Data)
{
    public bool IsGood => Status is CipStatus.Success or CipStatus.PartialTransfer;

    /// <summary>More would have come, had it fitted.</summary>
    public bool IsPartial => Status == CipStatus.PartialTransfer;
}

/// <summary>Asks a controller one thing after another, each within a time. Reads only.</summary>
internal sealed class Questions(Session session, TimeSpan timeout, TimeProvider time)
{
    // Service, status and their like before the data of a reply.
    private const int ReplyHead = 8;

    /// <summary>Most bytes to ask for at once.</summary>
    public int LargestPart => session.Carrier.LargestReply - ReplyHead;

    /// <exception cref="LinkException">The session is of no use any more, or there was no answer in time.</exception>
    public async Task<Answer> AskAsync(byte service, byte[] path, byte[] data, CancellationToken cancellation)
    {
        byte[] message = new ByteBuilder()
            .Byte(service)
            .Byte(path.Length / 2)
            .Bytes(path)
            .Bytes(data)
            .ToArray();
        using CancellationTokenSource limit = new(timeout, time);
        using CancellationTokenSource both = CancellationTokenSource.CreateLinkedTokenSource(
            limit.Token,
            cancellation
        );
        try
        {
            ReadOnlyMemory<byte> bytes = await session.ExchangeAsync(
                session.Carrier.Prepare(message),
                both.Token
            );
            CipReply reply = CipReply.To(bytes.Span, service);
            return new Answer(reply.Status, reply.Describe(), reply.Data.ToArray());
        }
        catch (OperationCanceledException e) when (!cancellation.IsCancellationRequested)
        {
            throw LinkTrouble.WhileReading(e, timeout);
        }
    }
}
