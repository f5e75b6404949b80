using System.Threading.Channels;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>
/// One machine's batches, which go round between the thread that fills them and the one that reads them. The first is ahead of
/// the other by as many as there are, and waits then. They are made as they are needed.
/// </summary>
internal sealed class BatchRound
{
    /// <summary>One is filled, one waits and one is read.</summary>
    private const int Most = 3;

    private readonly Channel<RowBatch> _empty = OneToOne();
    private readonly Channel<RowBatch> _filled = OneToOne();
    private RowBatch? _filling;
    private int _made;

    /// <summary>The batch that is filled. This and the next two are for who fills.</summary>
    public RowBatch Filling => _filling ??= New();

    /// <summary>Hands on the batch, and waits for another.</summary>
    public async ValueTask HandOnAsync(CancellationToken cancellation)
    {
        _filled.Writer.TryWrite(Filling);
        _filling =
            _empty.Reader.TryRead(out RowBatch? read) ? read
            : _made < Most ? New()
            : await _empty.Reader.ReadAsync(cancellation);
        _filling.Clear();
    }

    /// <summary>Hands on what there is: it is the last.</summary>
    public void End()
    {
        if (_filling is not null)
            _filled.Writer.TryWrite(_filling);
        _filled.Writer.TryComplete();
    }

    /// <summary>The next batch; null after the last. This and the next are for who reads.</summary>
    public async ValueTask<RowBatch?> NextAsync(CancellationToken cancellation) =>
        await _filled.Reader.WaitToReadAsync(cancellation) && _filled.Reader.TryRead(out RowBatch? batch)
            ? batch
            : null;

    /// <summary>Gives back a batch that has been read.</summary>
    public void GiveBack(RowBatch batch) => _empty.Writer.TryWrite(batch);

    private RowBatch New()
    {
        _made++;
        return new RowBatch();
    }

    private static Channel<RowBatch> OneToOne() =>
        Channel.CreateUnbounded<RowBatch>(
            new UnboundedChannelOptions { SingleReader = true, SingleWriter = true }
        );
}
