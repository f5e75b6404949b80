using System.Buffers.Binary;

namespace Dancerwatch.EndToEnd.Tests.HostileInput;

/// <summary>
/// Bends EtherNet/IP reply frames where it hurts: lengths, counts, offsets, type codes and statuses more often than the
/// rest, and the lengths around a change put right more often than not, so that the change gets past the outer layers.
/// </summary>
internal static class BentFrame
{
    private const int HeaderLength = 24;
    private const int ItemsAt = HeaderLength + 8;

    private static readonly int[] s_edges = [0, 1, 2, 3, 4, 0x7F, 0x80, 0xFF, 0x100, 0x7FFF, 0x8000, 0xFFFF];

    /// <param name="good">A whole frame.</param>
    /// <param name="others">Other frames, to take parts from.</param>
    public static byte[] Of(ReadOnlySpan<byte> good, IReadOnlyList<byte[]> others, Random random)
    {
        byte[] frame = good.ToArray();
        for (int changes = random.Next(1, 4); changes > 0; changes--)
            frame = Change(frame, others, random);
        if (random.Next(2) == 0)
            MendItems(frame);
        if (random.Next(8) > 0 && frame.Length >= HeaderLength)
            BinaryPrimitives.WriteUInt16LittleEndian(frame.AsSpan(2), (ushort)(frame.Length - HeaderLength));
        return frame;
    }

    /// <summary>Length that the frame's head claims; its own where it has no whole head.</summary>
    public static int ClaimedLength(ReadOnlySpan<byte> frame) =>
        frame.Length < HeaderLength
            ? frame.Length
            : HeaderLength + BinaryPrimitives.ReadUInt16LittleEndian(frame[2..]);

    private static byte[] Change(byte[] frame, IReadOnlyList<byte[]> others, Random random)
    {
        if (frame.Length <= HeaderLength || random.Next(16) == 0)
            return Flip(frame, 0, random);
        switch (random.Next(8))
        {
            case 0:
            case 1:
                return Flip(frame, HeaderLength, random);
            case 2:
            case 3:
                return SetWord(frame, WordOfNote(frame, random), random);
            case 4:
                return SetWord(frame, random.Next(HeaderLength, frame.Length), random);
            case 5:
                return frame[..random.Next(HeaderLength, frame.Length)];
            case 6:
                return Stretch(frame, random);
            default:
                byte[] other = others[random.Next(others.Count)];
                int from = Math.Min(random.Next(HeaderLength, frame.Length), other.Length);
                return [.. frame.AsSpan(0, Math.Min(from, frame.Length)), .. other.AsSpan(from)];
        }
    }

    private static byte[] Flip(byte[] frame, int least, Random random)
    {
        if (frame.Length > least)
            frame[random.Next(least, frame.Length)] ^= (byte)(1 << random.Next(8));
        return frame;
    }

    private static byte[] SetWord(byte[] frame, int at, Random random)
    {
        if (at + 2 > frame.Length)
            return frame;
        Span<byte> word = frame.AsSpan(at);
        int value = random.Next(3) switch
        {
            0 => s_edges[random.Next(s_edges.Length)],
            1 => BinaryPrimitives.ReadUInt16LittleEndian(word) + random.Next(-3, 4),
            _ => random.Next(0x10000),
        };
        BinaryPrimitives.WriteUInt16LittleEndian(word, (ushort)value);
        return frame;
    }

    /// <summary>A part twice, or some bytes of chance more.</summary>
    private static byte[] Stretch(byte[] frame, Random random)
    {
        int at = random.Next(HeaderLength, frame.Length);
        byte[] more = new byte[random.Next(2) == 0 ? random.Next(1, 64) : random.Next(1, 4096)];
        random.NextBytes(more);
        if (random.Next(2) == 0)
            more = frame[at..random.Next(at, frame.Length)];
        return [.. frame.AsSpan(0, at), .. more, .. frame.AsSpan(at)];
    }

    /// <summary>Where a length, a count, an offset, a type or a status stands.</summary>
    private static int WordOfNote(byte[] frame, Random random)
    {
        List<int> places = [2, 8, ItemsAt - 2];
        int reply = Items(frame, places);
        if (reply + 4 <= frame.Length)
        {
            places.AddRange([reply, reply + 2, reply + 3, reply + 4, reply + 6]);
            // A packet's replies: their number, and where each begins.
            if (frame[reply] == 0x8A && reply + 6 <= frame.Length)
            {
                int count = BinaryPrimitives.ReadUInt16LittleEndian(frame.AsSpan(reply + 4));
                for (int i = 0; i < Math.Min(count, 40); i++)
                {
                    int offsetAt = reply + 6 + (2 * i);
                    places.Add(offsetAt);
                    if (offsetAt + 2 <= frame.Length)
                    {
                        int one = reply + 4 + BinaryPrimitives.ReadUInt16LittleEndian(frame.AsSpan(offsetAt));
                        places.AddRange([one, one + 2, one + 4, one + 6]);
                    }
                }
            }
        }
        return places[random.Next(places.Count)];
    }

    /// <returns>Where the message in the last item begins.</returns>
    private static int Items(byte[] frame, List<int> places)
    {
        int at = ItemsAt;
        int message = frame.Length;
        for (int i = 0; i < 2 && at + 4 <= frame.Length; i++)
        {
            places.AddRange([at, at + 2]);
            // A connected message has its number first.
            bool isNumbered = BinaryPrimitives.ReadUInt16LittleEndian(frame.AsSpan(at)) == 0xB1;
            message = at + 4 + (isNumbered ? 2 : 0);
            at += 4 + BinaryPrimitives.ReadUInt16LittleEndian(frame.AsSpan(at + 2));
        }
        return message;
    }

    /// <summary>Makes the last item as long as what is left.</summary>
    private static void MendItems(byte[] frame)
    {
        int at = ItemsAt;
        if (at + 4 > frame.Length)
            return;
        at += 4 + BinaryPrimitives.ReadUInt16LittleEndian(frame.AsSpan(at + 2));
        if (at + 4 <= frame.Length)
            BinaryPrimitives.WriteUInt16LittleEndian(frame.AsSpan(at + 2), (ushort)(frame.Length - at - 4));
    }
}
