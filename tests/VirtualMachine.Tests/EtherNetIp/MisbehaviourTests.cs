using System.Net;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.Tags;
using static Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip.Bytes;

namespace Dancerwatch.VirtualMachine.Tests.EtherNetIp;

public sealed class MisbehaviourTests : IAsyncLifetime
{
    private const string GapReply = "CC000000C3003412";
    private readonly ControllerServer _server;

    public MisbehaviourTests()
    {
        TagTable table = new();
        table.AddInt("Gap").Value = 0x1234;
        _server = new(table, new ControllerServerOptions(), TimeProvider.System);
    }

    public ValueTask InitializeAsync()
    {
        _server.Start(new IPEndPoint(IPAddress.Loopback, 0));
        return default;
    }

    public ValueTask DisposeAsync() => _server.DisposeAsync();

    [Fact]
    public async Task A_reply_split_at_any_byte_is_the_same_reply()
    {
        using RawClient client = await RawClient.Register(_server.EndPoint);
        int length = (await client.Exchange(SendRRData(client.Session, ReadTag("Gap")))).Length;

        for (int at = 1; at < length; at++)
        {
            _server.Misbehaviour = Misbehaviour.SplitAt(at, TimeSpan.FromMilliseconds(1));
            Assert.Equal(GapReply, await client.Ask(ReadTag("Gap")));
        }
    }

    [Fact]
    public async Task Half_a_frame_is_half_a_frame()
    {
        using RawClient client = await RawClient.Register(_server.EndPoint);
        byte[] whole = await client.Exchange(SendRRData(client.Session, ReadTag("Gap")));
        _server.Misbehaviour = Misbehaviour.HalfAFrame;

        await client.Send(SendRRData(client.Session, ReadTag("Gap")));

        Assert.Equal(whole[..(whole.Length / 2)], await client.ReceiveSome(100));
    }

    [Fact]
    public async Task Silence_ends_when_it_is_lifted()
    {
        using RawClient client = await RawClient.Register(_server.EndPoint);
        _server.Misbehaviour = Misbehaviour.Silence;
        await client.Send(SendRRData(client.Session, ReadTag("Gap")));
        await Eventually.IsTrueAsync(() => _server.Counters.RequestsOf(0x4C) > 0);

        _server.Misbehaviour = null;

        Assert.Equal(GapReply, await client.Ask(ReadTag("Gap")));
        Assert.False(client.HasBytes);
    }

    [Fact]
    public async Task It_hangs_up_after_so_many_good_replies()
    {
        _server.Misbehaviour = Misbehaviour.HangUp.After(3);
        using RawClient client = await RawClient.Register(_server.EndPoint);

        Assert.Equal(GapReply, await client.Ask(ReadTag("Gap")));
        Assert.Equal(GapReply, await client.Ask(ReadTag("Gap")));
        await client.Send(SendRRData(client.Session, ReadTag("Gap")));
        Assert.Empty(await client.ReceiveSome(1));
    }

    [Fact]
    public async Task Garbage_is_not_the_reply_and_is_the_same_from_the_same_seed()
    {
        byte[][] replies = new byte[2][];
        for (int i = 0; i < 2; i++)
        {
            using RawClient client = await RawClient.Connect(_server.EndPoint);
            _server.Misbehaviour = Misbehaviour.Garbage(seed: 7);
            await client.Send(RegisterSession());
            replies[i] = await client.ReceiveSome(28);
        }

        Assert.Equal(replies[0], replies[1]);
        Assert.NotEqual(RegisterSession(), replies[0]);
    }

    [Fact]
    public async Task A_delayed_reply_comes_later()
    {
        using RawClient client = await RawClient.Register(_server.EndPoint);
        _server.Misbehaviour = Misbehaviour.Delay(TimeSpan.FromMilliseconds(50));
        long sent = TimeProvider.System.GetTimestamp();

        Assert.Equal(GapReply, await client.Ask(ReadTag("Gap")));

        Assert.True(TimeProvider.System.GetElapsedTime(sent) >= TimeSpan.FromMilliseconds(45));
    }
}
