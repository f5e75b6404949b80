using System.Buffers.Binary;
using System.Runtime.CompilerServices;
using Dancerwatch.EdgeAgent.Waiting;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>
/// Reads all tags once over one session, again and again. Requests are encoded and packed when it is made; a tag whose
/// reply does not fit is read apart from then on. Allocates nothing while nothing changes.
/// </summary>
internal sealed class TagRound
{
    // Largest value any configured type has, with its type field; a larger one cannot be right.
    private readonly byte[] _fragments = new byte[128];

    private readonly Session _session;
    private readonly TagBoard _board;
    private readonly MonotonicClock _clock;
    private readonly ReadMode[] _modes;
    private PreparedPacket[] _packets;
    private bool _modesChanged;

    public TagRound(Session session, TagBoard board, MonotonicClock clock)
    {
        _session = session;
        _board = board;
        _clock = clock;
        _modes = new ReadMode[board.Plans.Count];
        _packets = Prepare();
    }

    private sealed record PreparedPacket(Packet Packet, PreparedRequest Request);

    /// <summary>Reads each tag; the snapshot's time is halfway between the first request and the last answer.</summary>
    /// <exception cref="LinkException">The session is of no use any more.</exception>
    [AsyncMethodBuilder(typeof(ReusingMethodBuilder))]
    public async ValueTask ReadAsync(TagSnapshot into, CancellationToken cancellation)
    {
        long begun = _clock.Ticks;
        _board.Begin(into);
        do
        {
            if (_modesChanged)
                _packets = Prepare();
            _modesChanged = false;
            foreach (PreparedPacket prepared in _packets)
            {
                if (prepared.Packet.Mode == ReadMode.Fragmented)
                {
                    await ReadFragmentsAsync(prepared, into, cancellation);
                    continue;
                }
                ReadOnlyMemory<byte> reply = await _session.ExchangeAsync(prepared.Request, cancellation);
                Take(prepared.Packet, reply.Span, into);
            }
            // Each tag changes its mode twice at most, so this ends.
        } while (_modesChanged);
        into.Ticks = begun + ((_clock.Ticks - begun) / 2);
    }

    private PreparedPacket[] Prepare() =>
        [
            .. RequestPacker
                .Pack(_board.Plans, _modes, _session.Carrier.LargestRequest, _session.Carrier.LargestReply)
                .Select(packet => new PreparedPacket(packet, _session.Carrier.Prepare(packet.Message))),
        ];

    private void Take(Packet packet, ReadOnlySpan<byte> bytes, TagSnapshot into)
    {
        if (packet.Tags.Length == 1)
        {
            TakeOne(packet.Tags[0], CipReply.To(bytes, CipService.ReadTag), into);
            return;
        }
        CipReply reply = CipReply.To(bytes, CipService.MultipleServicePacket);
        if (reply.Status is not (CipStatus.Success or CipStatus.EmbeddedServiceError))
        {
            // The controller takes no such packet, or its reply would not fit: each tag on its own, then.
            foreach (int tag in packet.Tags)
                ReadApart(tag, ReadMode.Alone);
            return;
        }
        if (!PackedReplies.TryParse(reply.Data, packet.Tags.Length, out PackedReplies replies))
            throw LinkException.Garbled("a packet of replies that does not hold together");
        for (int i = 0; i < packet.Tags.Length; i++)
        {
            if (CipReply.TryParse(replies[i], out CipReply one) && one.Service == CipService.ReadTag)
                TakeOne(packet.Tags[i], one, into);
            else
                _board.Set(packet.Tags[i], new TagOutcome(TagStatus.Garbled), into);
        }
    }

    private void TakeOne(int tag, CipReply reply, TagSnapshot into)
    {
        if (reply.Status == CipStatus.ReplyTooLarge)
        {
            ReadApart(tag, ReadMode.Fragmented);
            return;
        }
        if (reply.Status is not (CipStatus.Success or CipStatus.PartialTransfer))
        {
            _board.Set(tag, TagOutcome.Refused(reply.Status, reply.Extended), into);
            return;
        }
        TagOutcome outcome = _board.Decode(tag, reply.Data, into);
        if (outcome.Status == TagStatus.Garbled && reply.Status == CipStatus.PartialTransfer)
            ReadApart(tag, ReadMode.Fragmented);
        else
            _board.Set(tag, outcome, into);
    }

    private void ReadApart(int tag, ReadMode mode)
    {
        _modes[tag] = mode;
        _modesChanged = true;
    }

    [AsyncMethodBuilder(typeof(ReusingMethodBuilder))]
    private async ValueTask ReadFragmentsAsync(
        PreparedPacket prepared,
        TagSnapshot into,
        CancellationToken cancellation
    )
    {
        int tag = prepared.Packet.Tags[0];
        int have = 0;
        bool more = true;
        while (more)
        {
            SetFragmentOffset(prepared.Request, have);
            ReadOnlyMemory<byte> reply = await _session.ExchangeAsync(prepared.Request, cancellation);
            more = TakeFragment(tag, reply.Span, ref have, into);
        }
    }

    // The type field comes with every fragment; it is kept once, and the offset counts the bytes after it.
    private bool TakeFragment(int tag, ReadOnlySpan<byte> bytes, ref int have, TagSnapshot into)
    {
        CipReply reply = CipReply.To(bytes, CipService.ReadTagFragmented);
        if (reply.Status is not (CipStatus.Success or CipStatus.PartialTransfer))
        {
            _board.Set(tag, TagOutcome.Refused(reply.Status, reply.Extended), into);
            return false;
        }
        int typeLength =
            BinaryPrimitives.TryReadUInt16LittleEndian(reply.Data, out ushort type)
            && type == CipType.Structure
                ? 4
                : 2;
        int growth = reply.Data.Length - typeLength;
        bool more = reply.Status == CipStatus.PartialTransfer;
        if (growth < 0 || (growth == 0 && more) || typeLength + have + growth > _fragments.Length)
        {
            // Too long for any type this driver reads: the decoder names the type, if that is what is wrong.
            _board.Set(
                tag,
                _board.Decode(tag, reply.Data[..Math.Min(typeLength, reply.Data.Length)], into),
                into
            );
            return false;
        }
        reply.Data[..typeLength].CopyTo(_fragments);
        reply.Data[typeLength..].CopyTo(_fragments.AsSpan(typeLength + have));
        have += growth;
        if (!more)
            _board.Set(tag, _board.Decode(tag, _fragments.AsSpan(0, typeLength + have), into), into);
        return more;
    }

    private static void SetFragmentOffset(PreparedRequest request, int offset) =>
        BinaryPrimitives.WriteInt32LittleEndian(request.Message.Span[^sizeof(int)..], offset);
}
