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
    public async Task Every_type_a_signal_can_have_is_read()
    {
        TagCell<bool> flag = _table.AddBool("Flag");
        TagCell<bool> member = _table.AddBool("Tea1.Running");
        TagCell<sbyte> sint = _table.AddSint("Sint");
        TagCell<int> dint = _table.AddDint("Dint");
        TagCell<long> lint = _table.AddLint("Lint");
        TagCell<double> lreal = _table.AddLreal("Lreal");
        TagCell<string> text = _table.AddString("Product");
        TagArray<bool> bools = _table.AddBools("Flags", 64);
        TagArray<int> dints = _table.AddDints("Bags", 300);
        using (_table.BeginScan())
        {
            (flag.Value, member.Value) = (true, true);
            (sint.Value, dint.Value, lint.Value) = (-128, 1 << 30, -(1L << 40));
            (lreal.Value, text.Value) = (Math.PI, "Assam");
            (bools[33], dints[299]) = (true, 299);
        }
        await using EtherNetIpTagReader reader = Readers.To(
            _server.EndPoint.Port,
            [
                new("Flag", TagType.Bool),
                new("Tea1.Running", TagType.Bool),
                new("Sint", TagType.Sint),
                new("Dint", TagType.Dint),
                new("Lint", TagType.Lint),
                new("Lreal", TagType.Lreal),
                new("Flags[33]", TagType.Bool),
                new("Flags[34]", TagType.Bool),
                new("Bags[299]", TagType.Dint),
                new("Dint.30", TagType.Bool),
                new("Dint.29", TagType.Bool),
                new("Product", TagType.String),
            ]
        );

        TagSnapshot snapshot = await reader.ReadAsync();

        Assert.All(
            Enumerable.Range(0, snapshot.Statuses.Length),
            tag => Assert.True(snapshot.Statuses[tag] == TagStatus.Good, reader.TagTrouble(tag))
        );
        Assert.Equal(
            [1, 1, -128, 1 << 30, -(1L << 40), Math.PI, 1, 0, 299, 1, 0, double.NaN],
            snapshot.Numbers
        );
        Assert.Equal("Assam", snapshot.Texts[^1]);
    }

    [Fact]
    public async Task A_missing_tag_and_a_wrong_type_spoil_nothing()
    {
        await using EtherNetIpTagReader reader = Readers.To(
            _server.EndPoint.Port,
            [
                s_gap,
                new("Tea1.Gapp", TagType.Int),
                new("Tea9.Gap", TagType.Int),
                s_gap with
                {
                    Type = TagType.Real,
                },
                new("Tea1", TagType.Real),
                s_speed,
            ]
        );

        TagSnapshot snapshot = await reader.ReadAsync();

        Assert.Equal(
            [
                TagStatus.Good,
                TagStatus.NoSuchTag,
                TagStatus.NoSuchTag,
                TagStatus.WrongType,
                TagStatus.WrongType,
                TagStatus.Good,
            ],
            snapshot.Statuses
        );
        Assert.Contains(
            "is INT in the controller, the configuration says REAL",
            reader.TagTrouble(3),
            StringComparison.Ordinal
        );
        Assert.Contains("is a structure", reader.TagTrouble(4), StringComparison.Ordinal);
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

    [Fact]
    public async Task Several_readers_share_a_controller_each_on_its_own_connection()
    {
        EtherNetIpTagReader[] readers =
        [
            .. Enumerable.Range(0, 4).Select(_ => Readers.To(_server.EndPoint.Port, [s_gap, s_speed])),
        ];

        TagSnapshot[] snapshots = await Task.WhenAll(readers.Select(reader => reader.ReadAsync()));

        Assert.All(snapshots, snapshot => Assert.Equal([2048, 12.5], snapshot.Numbers));
        Assert.Equal(4, _server.OpenConnections);
        foreach (EtherNetIpTagReader reader in readers)
            await reader.DisposeAsync();
    }

    [Fact]
    public async Task A_controller_that_restarts_is_read_again_within_a_second_of_its_return()
    {
        await using EtherNetIpTagReader reader = Readers.To(_server.EndPoint.Port, [s_gap]);
        await reader.ReadAsync();
        await _server.StopAsync();
        await reader.ReadUntilAsync(_ =>
            reader.Trouble?.Contains("refused the connection", StringComparison.Ordinal) == true
        );
        _gap.Value = 77;

        MonotonicClock clock = new(TimeProvider.System);
        _server.Start(_server.EndPoint);
        long back = clock.Ticks;
        TagSnapshot again = await reader.ReadUntilAsync(snapshot => snapshot.Statuses[0] == TagStatus.Good);

        Assert.Equal([77], again.Numbers);
        Assert.InRange(clock.Ticks - back, 0, TimeSpan.TicksPerSecond);
        Assert.Null(reader.Trouble);
    }

    public static TheoryData<string> Misbehaviours() => ["silence", "hang-up", "half a frame", "garbage"];

    [Theory, MemberData(nameof(Misbehaviours))]
    public async Task A_controller_that_misbehaves_is_trouble_in_a_sentence_and_is_read_once_it_behaves(
        string how
    )
    {
        await using EtherNetIpTagReader reader = Readers.To(
            _server.EndPoint.Port,
            [s_gap, s_speed],
            timeoutMilliseconds: 250
        );
        await reader.ReadUntilAsync(snapshot => snapshot.Statuses[0] == TagStatus.Good);
        _server.Misbehaviour = how switch
        {
            "silence" => Misbehaviour.Silence,
            "hang-up" => Misbehaviour.HangUp,
            "half a frame" => Misbehaviour.HalfAFrame,
            _ => Misbehaviour.Garbage(seed: 1),
        };

        TagSnapshot spoilt = await reader.ReadAsync();

        Assert.All(spoilt.Statuses, status => Assert.NotEqual(TagStatus.Good, status));
        Assert.StartsWith(
            $"controller 'packing' at 127.0.0.1:{_server.EndPoint.Port} ",
            reader.Trouble,
            StringComparison.Ordinal
        );
        _server.Misbehaviour = null;
        TagSnapshot well = await reader.ReadUntilAsync(snapshot => snapshot.Statuses[0] == TagStatus.Good);
        Assert.Equal([2048, 12.5], well.Numbers);
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
