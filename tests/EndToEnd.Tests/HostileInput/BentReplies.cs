using Dancerwatch.VirtualMachine.EtherNetIp;

namespace Dancerwatch.EndToEnd.Tests.HostileInput;

/// <summary>
/// The virtual controller's own replies, most of them bent on their way out. After a bent one the good one follows, or the
/// controller hangs up: so that a driver which rightly waits for more does not hold the test up.
/// </summary>
internal sealed class BentReplies(int seed) : Misbehaviour
{
    private const int Kept = 64;
    private readonly Lock _gate = new();
    private readonly Random _random = new(seed);
    private readonly List<byte[]> _others = [];
    private readonly HashSet<(int, int, int, int)> _kinds = [];
    private long _bent;

    /// <summary>Frames bent so far.</summary>
    public long Bent => Interlocked.Read(ref _bent);

    /// <summary>Different replies seen, by command, service, status and length.</summary>
    public int Kinds
    {
        get
        {
            lock (_gate)
                return _kinds.Count;
        }
    }

    protected override async ValueTask<bool> SendAsync(OutgoingReply reply, CancellationToken cancellation)
    {
        byte[]? bent = Bend(reply.Frame.Span, out bool hangsUp);
        if (bent is null)
        {
            await reply.Client.WriteAsync(reply.Frame, cancellation);
            return true;
        }
        if (!hangsUp)
            bent = [.. bent, .. reply.Frame.Span];
        await reply.Client.WriteAsync(bent, cancellation);
        return !hangsUp;
    }

    private byte[]? Bend(ReadOnlySpan<byte> good, out bool hangsUp)
    {
        lock (_gate)
        {
            hangsUp = false;
            Keep(good);
            if (_random.Next(4) == 0)
                return null;
            byte[] bent = BentFrame.Of(good, _others, _random);
            hangsUp = BentFrame.ClaimedLength(bent) != bent.Length;
            Interlocked.Increment(ref _bent);
            return bent;
        }
    }

    private void Keep(ReadOnlySpan<byte> good)
    {
        // A connected message has its connection and number first.
        int messageAt = good[0] == 0x70 ? 46 : 40;
        (int service, int status) =
            good.Length >= messageAt + 4 ? (good[messageAt], good[messageAt + 2]) : (0, 0);
        if (!_kinds.Add((good[0], service, status, good.Length)))
            return;
        if (_others.Count < Kept)
            _others.Add(good.ToArray());
        else
            _others[_random.Next(Kept)] = good.ToArray();
    }
}
