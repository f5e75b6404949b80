using System.Net;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.Tags;
using Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip;
using Microsoft.Extensions.Time.Testing;
using static Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip.Bytes;

namespace Dancerwatch.VirtualMachine.Tests.EtherNetIp;

public sealed class ControllerServerTests : IAsyncLifetime
{
    private const string GapReply = "CC000000C3003412";
    private readonly TagTable _table = new();
    private readonly FakeTimeProvider _time = new();
    private readonly ControllerServer _server;

    public ControllerServerTests()
    {
        _table.AddInt("Gap").Value = 0x1234;
        _table.AddDints("Weights", 300);
        _server = new(_table, new ControllerServerOptions { MaxClients = 3 }, _time);
    }

    public ValueTask InitializeAsync()
    {
        _server.Start(new IPEndPoint(IPAddress.Loopback, 0));
        return default;
    }

    public ValueTask DisposeAsync() => _server.DisposeAsync();

    [Fact]
    public async Task A_request_sent_byte_by_byte_is_answered()
    {
        using RawClient client = await RawClient.Register(_server.EndPoint);
        byte[] frame = SendRRData(client.Session, ReadTag("Gap"));

        for (int i = 0; i < frame.Length; i++)
            await client.Send(frame.AsMemory(i, 1));

        Assert.Equal(GapReply, Convert.ToHexString((await client.Receive())[40..]));
    }

    [Fact]
    public async Task Requests_sent_in_one_go_are_answered_in_order()
    {
        using RawClient client = await RawClient.Register(_server.EndPoint);
        byte[][] frames =
        [
            .. Enumerable
                .Range(0, 50)
                .Select(i =>
                    Frame(0x6F, client.Session, SendRRData(0, ReadTag("Gap"))[24..], context: $"{i:X16}")
                ),
        ];

        await client.Send(frames.SelectMany(frame => frame).ToArray());

        for (int i = 0; i < frames.Length; i++)
            Assert.Equal($"{i:X16}", Convert.ToHexString(await client.Receive(), 12, 8));
    }

    [Fact]
    public async Task Clients_have_sessions_of_their_own_and_do_not_disturb_each_other()
    {
        using RawClient first = await RawClient.Register(_server.EndPoint);
        using RawClient second = await RawClient.Register(_server.EndPoint);
        Assert.NotEqual(first.Session, second.Session);

        await first.Send(SendRRData(first.Session, ReadTag("Gap")).AsMemory(0, 30)); // and no more of it
        Assert.Equal(GapReply, await second.Ask(ReadTag("Gap")));
        Assert.Equal(2, _server.Counters.Clients);
    }

    [Fact]
    public async Task Garbage_of_one_client_leaves_another_in_peace()
    {
        Random random = new(5);
        using RawClient good = await RawClient.Register(_server.EndPoint);

        for (int i = 0; i < 50; i++)
        {
            using RawClient bad = await RawClient.Connect(_server.EndPoint);
            byte[] garbage = new byte[random.Next(1, 2000)];
            random.NextBytes(garbage);
            await bad.Send(garbage);
            Assert.Equal(GapReply, await good.Ask(ReadTag("Gap")));
        }

        await Eventually.IsTrueAsync(() => _server.Counters.Clients == 1);
    }

    [Fact]
    public async Task Beyond_the_most_clients_one_is_hung_up_on()
    {
        List<RawClient> clients = [];
        for (int i = 0; i < 3; i++)
            clients.Add(await RawClient.Register(_server.EndPoint));

        using RawClient further = await RawClient.Connect(_server.EndPoint);
        Assert.Empty(await further.ReceiveSome(1));

        clients.ForEach(client => client.Dispose());
        await Eventually.IsTrueAsync(() => _server.Counters.Clients == 0);
        using RawClient later = await RawClient.Register(_server.EndPoint);
    }

    [Fact]
    public async Task A_client_that_leaves_takes_its_connections_with_it()
    {
        using (RawClient client = await RawClient.Register(_server.EndPoint))
        {
            await client.Ask(new ForwardOpen().Request);
            Assert.Equal(1, _server.OpenConnections);
        }

        await Eventually.IsTrueAsync(() => _server.OpenConnections == 0 && _server.Counters.Clients == 0);
    }

    [Fact]
    public async Task A_silent_client_is_hung_up_on_after_the_timeout()
    {
        using RawClient client = await RawClient.Register(_server.EndPoint);
        Assert.Equal(GapReply, await client.Ask(ReadTag("Gap")));

        Task<byte[]> end = client.ReceiveSome(1);
        await Eventually.IsTrueAsync(() =>
        {
            _time.Advance(TimeSpan.FromSeconds(121));
            return end.IsCompleted;
        });
        Assert.Empty(await end);
    }

    [Fact]
    public async Task Stopped_it_hangs_up_and_refuses_and_started_again_it_serves_on_the_same_port()
    {
        IPEndPoint endPoint = _server.EndPoint;
        for (int round = 0; round < 3; round++)
        {
            using RawClient client = await RawClient.Register(endPoint);
            Assert.Equal(GapReply, await client.Ask(ReadTag("Gap")));

            await _server.StopAsync();
            Assert.Empty(await client.ReceiveSome(1));
            await Assert.ThrowsAnyAsync<System.Net.Sockets.SocketException>(() =>
                RawClient.Connect(endPoint)
            );
            _server.Start(endPoint);
        }
        Assert.Equal(3, _server.Counters.ClientsEver);
    }

    [Fact]
    public void Starting_twice_is_a_mistake_told_with_the_address()
    {
        var error = Assert.Throws<InvalidOperationException>(() =>
            _server.Start(new IPEndPoint(IPAddress.Loopback, 0))
        );

        Assert.Contains(_server.EndPoint.ToString(), error.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(510)]
    [InlineData(4003)]
    public void An_option_out_of_range_is_told_with_its_range(int size)
    {
        var error = Assert.Throws<ArgumentOutOfRangeException>(() =>
            new ControllerServer(_table, new ControllerServerOptions { LargestConnection = size }, _time)
        );

        Assert.Contains(
            $"LargestConnection is {size}. Allowed: 511 to 4002.",
            error.Message,
            StringComparison.Ordinal
        );
    }
}
