using System.Net;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.EtherNetIp;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.EtherNetIp;

/// <summary>The reader against the virtual controller, which was written apart from it and shares no code with it.</summary>
public sealed class VirtualControllerTests : IAsyncDisposable
{
    private static readonly IPEndPoint s_anyPort = new(IPAddress.Loopback, 0);
    private static readonly TagRequest s_gap = new("Tea1.Gap", TagType.Int);
    private static readonly TagRequest s_speed = new("Program:Packing.UnwindSpeed", TagType.Real);

    private readonly TagTable _table = new();
    private readonly TagCell<short> _gap;
    private readonly TagCell<float> _speed;
    private ControllerServer _server;

    public VirtualControllerTests()
    {
        _gap = _table.AddInt(s_gap.Name);
        _speed = _table.AddReal(s_speed.Name);
        (_gap.Value, _speed.Value) = (2048, 12.5f);
        _server = Serve(new ControllerServerOptions());
    }

    public ValueTask DisposeAsync() => _server.DisposeAsync();

    [Theory]
    [InlineData("large", "1,0")]
    [InlineData("small", "1,0")]
    [InlineData("none", "1,0")]
    [InlineData("large", "")]
    [InlineData("small", "")]
    [InlineData("none", "")]
    public async Task Values_arrive_over_every_kind_of_connection_and_no_frame_is_malformed(
        string connection,
        string route
    )
    {
        await _server.DisposeAsync();
        _server = Serve(
            new ControllerServerOptions
            {
                AcceptConnections = connection != "none",
                AcceptLargeConnections = connection == "large",
            }
        );
        EtherNetIpTagReader reader = Readers.To(_server.EndPoint.Port, [s_gap, s_speed], route);

        TagSnapshot first = await reader.ReadAsync();
        (_gap.Value, _speed.Value) = (-1, 0);
        TagSnapshot second = await reader.ReadAsync();

        Assert.Equal([2048, 12.5], first.Numbers);
        Assert.Equal([-1, 0], second.Numbers);
        Assert.Null(reader.Trouble);
        Assert.Equal(connection == "none" ? 0 : 1, _server.OpenConnections);
        Assert.Equal(4, _server.Counters.RequestsOf(0x4C));
        await reader.DisposeAsync();
        await Eventually.IsTrueAsync(() => _server.Counters.Clients == 0);
        Assert.Equal(0, _server.OpenConnections);
        Assert.Equal(0, _server.Counters.Malformed);
        Assert.Equal(0, _server.Counters.RefusedWrites);
    }

    [Fact]
    public async Task A_route_to_an_empty_slot_is_named_as_the_trouble()
    {
        await using EtherNetIpTagReader reader = Readers.To(_server.EndPoint.Port, [s_gap, s_speed], "1,5");

        TagSnapshot snapshot = await reader.ReadAsync();

        Assert.NotEqual(TagStatus.Good, snapshot.Statuses[0]);
        Assert.Contains("over its route", reader.Trouble, StringComparison.Ordinal);
        Assert.Contains("Check the route", reader.Trouble, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(24)]
    [InlineData(41)]
    public async Task A_reply_cut_in_two_by_the_network_is_put_together(int bytes)
    {
        _server.Misbehaviour = Misbehaviour.SplitAt(bytes, TimeSpan.FromMilliseconds(5));
        await using EtherNetIpTagReader reader = Readers.To(_server.EndPoint.Port, [s_gap, s_speed]);

        TagSnapshot snapshot = await reader.ReadAsync();

        Assert.Equal([2048, 12.5], snapshot.Numbers);
    }

    private ControllerServer Serve(ControllerServerOptions options)
    {
        ControllerServer server = new(_table, options, TimeProvider.System);
        server.Start(s_anyPort);
        return server;
    }
}
