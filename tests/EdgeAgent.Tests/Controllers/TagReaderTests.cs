using System.Net;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Tests.Controllers.EtherNetIp;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.EdgeAgent.Tests.Controllers;

/// <summary>What a driver must do, whichever it is, against the virtual controller, which was written apart from them and shares no code with them.</summary>
public sealed class TagReaderTests : IAsyncDisposable
{
    private static readonly TagRequest s_gap = new("Tea1.Gap", TagType.Int);
    private static readonly TagRequest s_speed = new("Program:Packing.UnwindSpeed", TagType.Real);

    private readonly TagTable _table = new();
    private readonly TagCell<short> _gap;
    private readonly TagCell<float> _speed;
    private readonly ControllerServer _server;

    public TagReaderTests()
    {
        _gap = _table.AddInt(s_gap.Name);
        _speed = _table.AddReal(s_speed.Name);
        (_gap.Value, _speed.Value) = (2048, 12.5f);
        _server = new ControllerServer(_table, new ControllerServerOptions(), TimeProvider.System);
        _server.Start(new IPEndPoint(IPAddress.Loopback, 0));
    }

    public static TheoryData<string> Names => Drivers.All();

    public static TheoryData<string, string> Misbehaviours()
    {
        TheoryData<string, string> all = [];
        foreach (string driver in (string[])["ethernet-ip", "libplctag"])
        {
            foreach (string how in (string[])["silence", "hang-up", "half a frame", "garbage"])
                all.Add(driver, how);
        }
        return all;
    }

    public ValueTask DisposeAsync() => _server.DisposeAsync();

    [Theory, MemberData(nameof(Names))]
    public async Task Values_arrive_and_change_and_the_connection_is_closed_at_the_end(string driver)
    {
        ITagReader reader = To(driver, [s_gap, s_speed]);

        TagSnapshot first = await reader.ReadAsync();
        (_gap.Value, _speed.Value) = (-1, 0);
        TagSnapshot second = await reader.ReadAsync();

        Assert.Equal([2048, 12.5], first.Numbers);
        Assert.Equal([-1, 0], second.Numbers);
        Assert.True(second.Ticks > first.Ticks);
        Assert.Null(reader.Trouble);
        await reader.DisposeAsync();
        await Eventually.IsTrueAsync(() => _server.Counters.Clients == 0);
        Assert.Equal(0, _server.OpenConnections);
        Assert.Equal(0, _server.Counters.Malformed);
        Assert.Equal(0, _server.Counters.RefusedWrites);
        // Packets, reads (also in fragments), and what opens and closes a connection.
        Assert.Empty(
            _server.Counters.Requests.Keys.Except(new byte[] { 0x0A, 0x4C, 0x4E, 0x52, 0x54, 0x5B })
        );
    }

    [Theory, MemberData(nameof(Names))]
    public async Task Every_type_a_signal_can_have_is_read(string driver)
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
        await using ITagReader reader = To(
            driver,
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
            tag =>
                Assert.True(
                    snapshot.Statuses[tag] == TagStatus.Good,
                    $"{reader.Tags[tag].Name}: {snapshot.Statuses[tag]}, {reader.TagTrouble(tag)}, {reader.Trouble}"
                )
        );
        Assert.Equal(
            [1, 1, -128, 1 << 30, -(1L << 40), Math.PI, 1, 0, 299, 1, 0, double.NaN],
            snapshot.Numbers
        );
        Assert.Equal("Assam", snapshot.Texts[^1]);
    }

    [Theory, MemberData(nameof(Names))]
    public async Task A_missing_tag_and_a_wrong_type_spoil_nothing(string driver)
    {
        await using ITagReader reader = To(
            driver,
            [
                s_gap,
                new("Tea1.Gapp", TagType.Int),
                new("Tea9.Gap", TagType.Int),
                s_gap with
                {
                    Type = TagType.Real,
                },
                new("Tea1", TagType.Lreal),
                s_speed,
                new("no tag's name", TagType.Int),
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
                TagStatus.NoSuchTag,
            ],
            snapshot.Statuses
        );
        Assert.Contains("'Tea1.Gapp' was not found", reader.TagTrouble(1), StringComparison.Ordinal);
        Assert.Contains(
            "in the controller, the configuration says REAL",
            reader.TagTrouble(3)!.Replace(';', ','),
            StringComparison.Ordinal
        );
        Assert.Contains(
            "'no tag's name' cannot be a tag's name",
            reader.TagTrouble(6),
            StringComparison.Ordinal
        );
        Assert.Null(reader.Trouble);
    }

    [Theory, MemberData(nameof(Names))]
    public async Task Several_readers_share_a_controller_each_on_its_own_connection(string driver)
    {
        ITagReader[] readers = [.. Enumerable.Range(0, 4).Select(_ => To(driver, [s_gap, s_speed]))];

        TagSnapshot[] snapshots = await Task.WhenAll(readers.Select(reader => reader.ReadAsync()));

        Assert.All(snapshots, snapshot => Assert.Equal([2048, 12.5], snapshot.Numbers));
        Assert.Equal(4, _server.OpenConnections);
        foreach (ITagReader reader in readers)
            await reader.DisposeAsync();
    }

    [Theory, MemberData(nameof(Names))]
    public async Task A_refused_port_is_known_at_once(string driver)
    {
        int port = LoopbackPort.Free();
        await using ITagReader reader = Drivers.To(driver, port, [s_gap], timeoutMilliseconds: 10_000);
        MonotonicClock clock = new(TimeProvider.System);
        long begun = clock.Ticks;

        TagSnapshot snapshot = await reader.ReadAsync();

        // At once is milliseconds; a busy computer is given more, and far less than the timeout.
        Assert.InRange(clock.Ticks - begun, 0, 3 * TimeSpan.TicksPerSecond);
        Assert.Equal([TagStatus.NotRead], snapshot.Statuses);
        Assert.StartsWith(
            $"controller 'packing' at 127.0.0.1:{port} refused the connection: nothing listens on that port.",
            reader.Trouble,
            StringComparison.Ordinal
        );
    }

    [Theory, MemberData(nameof(Names))]
    public async Task A_controller_that_restarts_is_read_again_within_a_second_of_its_return(string driver)
    {
        await using ITagReader reader = To(driver, [s_gap], timeoutMilliseconds: 1_000);
        await reader.ReadUntilAsync(snapshot => snapshot.Statuses[0] == TagStatus.Good);
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

    [Theory, MemberData(nameof(Misbehaviours))]
    public async Task A_controller_that_misbehaves_is_trouble_in_a_sentence_and_is_read_once_it_behaves(
        string driver,
        string how
    )
    {
        await using ITagReader reader = To(driver, [s_gap, s_speed], timeoutMilliseconds: 250);
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

    private ITagReader To(string driver, IReadOnlyList<TagRequest> tags, int timeoutMilliseconds = 5_000) =>
        Drivers.To(driver, _server.EndPoint.Port, tags, timeoutMilliseconds);
}
