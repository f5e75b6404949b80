using System.Net;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.EtherNetIp.Browsing;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.EtherNetIp.Browsing;

/// <summary>The browser against the virtual controller, which was written apart from it and which an independent client browses, too.</summary>
public sealed class TagBrowserTests : IAsyncDisposable
{
    private readonly TagTable _table = new();
    private ControllerServer? _server;

    public ValueTask DisposeAsync() => _server?.DisposeAsync() ?? ValueTask.CompletedTask;

    [Theory]
    [InlineData("large", "1,0")]
    [InlineData("small", "1,0")]
    [InlineData("none", "1,0")]
    [InlineData("none", "")]
    public async Task All_there_is_is_listed_over_every_kind_of_connection_in_parts_where_it_must(
        string connection,
        string route
    )
    {
        _table.AddInt("Gap");
        _table.AddString("Recipe");
        _table.AddBools("Flags", 33);
        _table.AddReals("Speeds", 12);
        _table.AddInt("Tea1.DancerGap");
        _table.AddBool("Tea1.Running");
        _table.AddBool("Tea1.BrakeOn");
        _table.AddReals("Tea1.Past", 3);
        _table.AddReal("Program:Unwind.Speed");
        _table.AddDint("Program:Unwind.Roll.Count");
        for (int i = 0; i < 100; i++)
            _table.AddDint($"Spare_with_a_long_name_{i:000}");
        for (int i = 0; i < 100; i++)
            _table.AddDint($"Big.Member_with_a_long_name_{i:000}");

        BrowsedController found = await BrowseAsync(
            new ControllerServerOptions
            {
                AcceptConnections = connection != "none",
                AcceptLargeConnections = connection == "large",
            },
            route
        );

        Assert.Empty(found.Remarks);
        Assert.Equal(
            [
                new("Gap", TagType.Int, "INT", 0),
                new("Recipe", TagType.String, "STRING", 0),
                new("Flags", TagType.Bool, "BOOL", 64),
                new("Speeds", TagType.Real, "REAL", 12),
                new("Tea1.DancerGap", TagType.Int, "INT", 0),
                new("Tea1.Running", TagType.Bool, "BOOL", 0),
                new("Tea1.BrakeOn", TagType.Bool, "BOOL", 0),
                new("Tea1.Past", TagType.Real, "REAL", 3),
                .. Enumerable
                    .Range(0, 100)
                    .Select(i => new BrowsedTag($"Spare_with_a_long_name_{i:000}", TagType.Dint, "DINT", 0)),
                .. Enumerable
                    .Range(0, 100)
                    .Select(i => new BrowsedTag(
                        $"Big.Member_with_a_long_name_{i:000}",
                        TagType.Dint,
                        "DINT",
                        0
                    )),
                new("Program:Unwind.Speed", TagType.Real, "REAL", 0),
                new("Program:Unwind.Roll.Count", TagType.Dint, "DINT", 0),
            ],
            found.Tags
        );
        await Eventually.IsTrueAsync(() => _server!.Counters.Clients == 0);
        Assert.Equal(0, _server!.OpenConnections);
        Assert.Equal(0, _server.Counters.Malformed + _server.Counters.RefusedWrites);
        // Lists, definitions and what carries them; not one value was asked for.
        Assert.Empty(
            _server.Counters.Requests.Keys.Except(new byte[] { 0x03, 0x4C, 0x4E, 0x54, 0x55, 0x5B })
        );
    }

    [Fact]
    public async Task Ten_thousand_tags_are_listed_in_some_hundred_questions()
    {
        for (int i = 0; i < 10_000; i++)
            _table.AddReal($"Program:P{i / 500}.Tag_with_a_long_name_{i:00000}");

        BrowsedController found = await BrowseAsync(new ControllerServerOptions());

        Assert.Equal(10_000, found.Tags.Count);
        // A tenth of a second on a quiet computer.
        Assert.InRange(_server!.Counters.RequestsOf(0x55), 100, 250);
    }

    [Fact]
    public async Task A_port_on_which_nothing_listens_is_told_at_once()
    {
        Exception refusal = await Assert.ThrowsAnyAsync<Exception>(() =>
            TagBrowser.BrowseAsync(
                Settings(LoopbackPort.Free(), "1,0"),
                TimeProvider.System,
                TestContext.Current.CancellationToken
            )
        );

        Assert.StartsWith("refused the connection", refusal.Message, StringComparison.Ordinal);
    }

    private async Task<BrowsedController> BrowseAsync(ControllerServerOptions options, string route = "1,0")
    {
        _server = new ControllerServer(_table, options, TimeProvider.System);
        _server.Start(new IPEndPoint(IPAddress.Loopback, 0));
        return await TagBrowser.BrowseAsync(
            Settings(_server.EndPoint.Port, route),
            TimeProvider.System,
            TestContext.Current.CancellationToken
        );
    }

    private static ControllerSettings Settings(int port, string route) =>
        new()
        {
            Name = "packing",
            Host = "127.0.0.1",
            Port = port,
            Route = route,
            TimeoutMilliseconds = 10_000,
        };
}
