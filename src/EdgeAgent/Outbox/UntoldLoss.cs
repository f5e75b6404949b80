namespace Dancerwatch.EdgeAgent.Outbox;

/// <summary>
/// Lost events of which nobody has been told yet: grows as more are lost, and shrinks as the broker takes the word of
/// them. A word that the broker does not take is offered again after a while; events go on meanwhile.
/// </summary>
internal sealed class UntoldLoss : IDisposable
{
    /// <summary>Long enough not to fill the broker's log, short enough for the engineer who has just put its access list right.</summary>
    public static readonly TimeSpan Pause = TimeSpan.FromSeconds(30);

    private readonly string _source;
    private readonly string _agent;
    private readonly TimeProvider _time;
    private readonly ITimer _pause;
    private OutboxEntry? _word;
    private bool _paused;

    /// <param name="source"><c>/site/area/agents/agent</c>.</param>
    /// <param name="wake">Called when a pause is over.</param>
    public UntoldLoss(string source, LostRange untold, Action wake, TimeProvider time)
    {
        _source = source;
        _agent = source[(source.LastIndexOf('/') + 1)..];
        _time = time;
        Range = untold;
        _pause = time.CreateTimer(
            _ =>
            {
                Volatile.Write(ref _paused, false);
                wake();
            },
            null,
            Timeout.InfiniteTimeSpan,
            Timeout.InfiniteTimeSpan
        );
    }

    public LostRange Range { get; private set; }

    public void Add(long first, long last)
    {
        Range = Range.And(first, last);
        _word = null;
    }

    /// <summary>The word to send now; null for none.</summary>
    public OutboxEntry? Offer()
    {
        if (Range.IsEmpty || Volatile.Read(ref _paused))
            return null;
        return _word ??= new OutboxEntry(
            Range.Last,
            _source,
            LossPayload.Id(_agent, Range),
            ReadingTicks: null,
            LossPayload.Of(_source, _agent, Range, _time.GetUtcNow().ToUnixTimeMilliseconds())
        )
        {
            Lost = Range,
        };
    }

    public void Told(LostRange told)
    {
        Range = Range.After(told);
        _word = null;
    }

    public void Postpone()
    {
        Volatile.Write(ref _paused, true);
        _pause.Change(Pause, Timeout.InfiniteTimeSpan);
    }

    public void Dispose() => _pause.Dispose();
}
