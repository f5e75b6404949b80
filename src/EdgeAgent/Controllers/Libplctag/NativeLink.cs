using System.Runtime.CompilerServices;
using Dancerwatch.EdgeAgent.Waiting;

namespace Dancerwatch.EdgeAgent.Controllers.Libplctag;

/// <summary>
/// The handles by which the library reads the tags of one controller, over a connection of its own that ends with them.
/// The library sends and receives on a thread of its own; this begins reads and looks every millisecond how they stand.
/// </summary>
internal sealed class NativeLink : ITagLink
{
    private static readonly TimeSpan s_look = TimeSpan.FromMilliseconds(1);
    private static int s_groups;

    private readonly NativeBoard _board;
    private readonly MonotonicClock _clock;
    private readonly PeriodicTimer _timer;
    private readonly int[] _handles;
    private readonly int[] _states;
    private Task? _ended;

    private NativeLink(NativeBoard board, MonotonicClock clock)
    {
        _board = board;
        _clock = clock;
        _timer = new PeriodicTimer(Timeout.InfiniteTimeSpan, clock.Time);
        _handles = new int[board.Tags.Count];
        _states = new int[board.Tags.Count];
    }

    public string Description => "by libplctag";

    public string? Refusal => null;

    /// <param name="controller">Attributes that all tags of the controller share.</param>
    /// <exception cref="LinkException">The library does not reach the controller.</exception>
    public static async Task<NativeLink> OpenAsync(
        NativeBoard board,
        string controller,
        MonotonicClock clock,
        CancellationToken cancellation
    )
    {
        // A group has a connection of its own: one that the library gave up waits for 5 s before it tries again.
        int group = Interlocked.Increment(ref s_groups);
        NativeLink link = new(board, clock);
        try
        {
            for (int i = 0; i < board.Tags.Count; i++)
            {
                if (board.Tags[i] is { } tag)
                    link._handles[i] = PlcTag.Create(
                        $"{controller}&connection_group_id={group}&elem_count=1&name={tag.Name}",
                        timeout: 0
                    );
                link._states[i] = link._handles[i] > 0 ? PlcTag.Pending : link._handles[i];
            }
            await link.DoneAsync(cancellation);
            return link;
        }
        catch
        {
            link.Dispose();
            throw;
        }
    }

    [AsyncMethodBuilder(typeof(ReusingMethodBuilder))]
    public async ValueTask ReadAsync(TagSnapshot into, CancellationToken cancellation)
    {
        long begun = _clock.Ticks;
        for (int i = 0; i < _handles.Length; i++)
        {
            if (_handles[i] > 0)
                _states[i] = PlcTag.Read(_handles[i], timeout: 0);
        }
        await DoneAsync(cancellation);
        ThrowIfNothingIsUnderstood();
        into.Ticks = begun + ((_clock.Ticks - begun) / 2);
        for (int i = 0; i < _handles.Length; i++)
        {
            if (_board.Tags[i] is null)
                NativeBoard.SetUnknown(i, into);
            else if (_states[i] == PlcTag.Ok)
                _board.Take(i, _handles[i], into);
            else
                _board.Set(i, NativeOutcome.Refused(_states[i]), into);
        }
    }

    public Task CloseAsync(CancellationToken cancellation) => EndAsync().WaitAsync(cancellation);

    /// <summary>Ends in the background: the library may wait for the network.</summary>
    public void Dispose()
    {
        _ = EndAsync();
        _timer.Dispose();
    }

    private Task EndAsync() =>
        _ended ??= Task.Run(() =>
        {
            foreach (int handle in _handles)
            {
                if (handle > 0)
                    _ = PlcTag.Destroy(handle);
            }
        });

    [AsyncMethodBuilder(typeof(ReusingMethodBuilder))]
    private async ValueTask DoneAsync(CancellationToken cancellation)
    {
        if (IsDone())
            return;
        _timer.Period = s_look;
        try
        {
            do await _timer.WaitForNextTickAsync(cancellation);
            while (!IsDone());
        }
        finally
        {
            _timer.Period = Timeout.InfiniteTimeSpan;
        }
    }

    // One tag may be what the library cannot read; where all are, it is the controller's answers.
    private void ThrowIfNothingIsUnderstood()
    {
        int strange = PlcTag.Ok;
        for (int i = 0; i < _handles.Length; i++)
        {
            if (_handles[i] == 0)
                continue;
            if (_states[i] == PlcTag.Ok || NativeOutcome.IsOfTag(_states[i]))
                return;
            strange = _states[i];
        }
        if (strange != PlcTag.Ok)
            throw new LinkException(
                TagStatus.Garbled,
                $"answers what libplctag does not understand ({PlcTag.NameOf(strange)}); the connection is opened again. If it goes on, check that the address and port belong to the controller"
            );
    }

    private bool IsDone()
    {
        bool isDone = true;
        for (int i = 0; i < _handles.Length; i++)
        {
            if (_states[i] == PlcTag.Pending)
                _states[i] = PlcTag.Status(_handles[i]);
            isDone &= _states[i] != PlcTag.Pending;
            if (NativeOutcome.IsLinkLost(_states[i]))
                throw new LinkException(
                    NativeOutcome.StatusOfLink(_states[i]),
                    $"is not reached by libplctag any more ({PlcTag.NameOf(_states[i])}); the connection is opened again. If it goes on, check the network, the route, and whether the controller has connections left"
                );
        }
        return isDone;
    }
}
