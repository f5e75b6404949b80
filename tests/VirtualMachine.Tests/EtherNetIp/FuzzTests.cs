using System.Buffers.Binary;
using Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip;
using static Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip.Bytes;

namespace Dancerwatch.VirtualMachine.Tests.EtherNetIp;

/// <summary>Frames bent by chance, from fixed seeds: the controller neither falls over nor says anything that is not a frame.</summary>
public sealed class FuzzTests
{
    private const int FramesPerSeed = 5000;

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    public void A_bent_frame_gets_a_whole_reply_or_none_and_the_next_good_one_its_due(int seed)
    {
        Random random = new(seed);
        Conversation plc = new();
        plc.Table.AddInt("Gap").Value = 0x1234;
        plc.Table.AddDints("Weights", 300);
        plc.Table.AddString("Tea1.Recipe");
        plc.Table.AddBool("Tea1.Running");
        plc.Table.AddDint("Program:Main.Counter");
        plc.Ask(Request(0x55, Hex("206B 2400"), Hex("0100 0200"))); // gives the templates their numbers
        uint connection = plc.Open(new() { IntervalMicroseconds = uint.MaxValue, Multiplier = 7 });
        byte[][] good = [.. Requests().SelectMany(request => Framed(plc.Handle, connection, request))];

        int answered = 0;
        for (int i = 0; i < FramesPerSeed; i++)
        {
            byte[] frame = Bent(good[random.Next(good.Length)], random);
            byte[] reply = plc.Answer(frame);
            if (reply.Length == 0)
                continue;
            answered++;
            Assert.Equal(reply.Length - 24, BinaryPrimitives.ReadUInt16LittleEndian(reply.AsSpan(2)));
            Assert.InRange(reply.Length, 24, 24 + 24 + 511);
        }

        Assert.InRange(answered, FramesPerSeed / 4, FramesPerSeed);
        Assert.NotEqual(0, plc.Counters.Malformed);
        Assert.Equal("CC000000C3003412", plc.AskHex(ReadTag("Gap")));
    }

    private static IEnumerable<byte[]> Requests() =>
        [
            ReadTag("Gap"),
            ReadTag("Weights", 300),
            ReadTag([.. Symbols("Weights"), 0x28, 7], 3),
            ReadTag("Tea1"),
            ReadTag("Program:Main.Counter"),
            ReadFragment("Weights", 300, 400),
            Packet(ReadTag("Gap"), ReadTag("Weights", 300), ReadTag("Missing")),
            Request(0x01, Hex("2001 2401"), []),
            Request(0x55, Hex("206B 2400"), Hex("0300 0100 0200 0800")),
            Request(0x03, Hex("206C 2500 CE0F"), Hex("0400 0400 0500 0200 0100")),
            Request(0x4C, Hex("206C 2500 CE0F"), Hex("00000000 F401")),
            new ForwardOpen { Serial = 9, Large = true }.Request,
            new ForwardOpen { Serial = 9 }.CloseRequest,
        ];

    private static IEnumerable<byte[]> Framed(uint session, uint connection, byte[] request) =>
        [
            SendRRData(session, request),
            SendRRData(session, UnconnectedSend(request)),
            SendUnitData(session, connection, 1, request),
        ];

    // The network cuts frames by the length in their heads, so that must be right; all else may be wrong.
    private static byte[] Bent(byte[] good, Random random)
    {
        byte[] frame = [.. good];
        for (int change = random.Next(1, 4); change > 0; change--)
        {
            // The first bytes are spared most of the time, or nothing would get as far as the tags.
            int from = random.Next(8) == 0 ? 0 : Math.Min(24, frame.Length - 1);
            int at = random.Next(from, frame.Length);
            frame = random.Next(4) switch
            {
                0 => [.. frame[..at], (byte)random.Next(256), .. frame[at..]],
                1 when at >= 24 => [.. frame[..at], .. frame[Math.Min(frame.Length, at + random.Next(9))..]],
                2 => [.. frame[..at], (byte)(frame[at] ^ (1 << random.Next(8))), .. frame[(at + 1)..]],
                _ => [.. frame[..at], (byte)(random.Next(2) * 255), .. frame[(at + 1)..]],
            };
        }
        BinaryPrimitives.WriteUInt16LittleEndian(frame.AsSpan(2), (ushort)(frame.Length - 24));
        return frame;
    }
}
