using System.Net;
using System.Net.Sockets;
using Dancerwatch.EdgeAgent;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.EtherNetIp;
using Dancerwatch.EndToEnd.Tests.Outbox;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.Tags;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EndToEnd.Tests.HostileInput;

/// <summary>The driver against a controller whose every reply may be bent, over TCP: each ends in values or in its one refusal.</summary>
[Collection(nameof(Hostile))]
public sealed class FrameTests
{
    private static readonly TimeSpan s_patience = TimeSpan.FromSeconds(4);

    private static readonly TagRequest[] s_tags =
    [
        new("Tea1.DancerGap", TagType.Real),
        new("Tea1.UnwindSpeed", TagType.Real),
        new("Tea1.Running", TagType.Bool),
        new("Tea1.Recipe", TagType.String),
        new("Counts[7]", TagType.Dint),
        new("Flags[33]", TagType.Bool),
        new("Status.5", TagType.Bool),
        new("Small", TagType.Sint),
        new("Middle", TagType.Int),
        new("Long", TagType.Lint),
        new("Double", TagType.Lreal),
        new("Program:Main.Speed", TagType.Real),
        new("Missing", TagType.Real),
        new("Middle", TagType.Real),
    ];

    [Theory]
    [InlineData("large connection", 300_000)]
    [InlineData("small connection", 300_000)]
    [InlineData("unconnected", 300_000)]
    [InlineData("unconnected over a route", 200_000)]
    public async Task Every_bent_reply_ends_in_values_or_in_the_refusal_of_the_link(string way, int atLength)
    {
        int frames = Torture.Rounds(5_000, atLength);
        int seed = Torture.Chance().Next();
        BentReplies bending = new(seed);
        await using ControllerServer controller = new(
            Tags(),
            new ControllerServerOptions
            {
                AcceptConnections = !way.StartsWith("unconnected", StringComparison.Ordinal),
                AcceptLargeConnections = way is "large connection",
                MaxConnections = 1024,
            },
            TimeProvider.System
        )
        {
            Misbehaviour = bending,
        };
        controller.Start(new IPEndPoint(IPAddress.Loopback, 0));
        // Through port 1, the backplane, to slot 0.
        byte[] route = way.EndsWith("route", StringComparison.Ordinal) ? [1, 0] : [];
        SessionSettings settings = new(
            "127.0.0.1",
            controller.EndPoint.Port,
            route,
            s_patience,
            TimeSpan.FromMilliseconds(20)
        );
        MonotonicClock clock = new(TimeProvider.System);
        Tally tally = new($"frames, {way}");
        while (bending.Bent < frames)
        {
            if (bending.Bent > frames / 5)
                tally.IsWarm();
            await TalkAsync(settings, clock, tally);
        }
        tally.Close($"{bending.Kinds} kinds of replies, {bending.Bent} of them bent, seed {seed}");
        Assert.Equal(0, tally.Of("late"));
        Assert.True(tally.Of("read") > frames / 50, $"only {tally.Of("read")} reads ended well");
        Assert.True(tally.Of("refused") > frames / 50, $"only {tally.Of("refused")} links were refused");
    }

    /// <summary>One connection, for as long as it stands. What is thrown beyond what is documented fails the test.</summary>
    private static async Task TalkAsync(SessionSettings settings, MonotonicClock clock, Tally tally)
    {
        using CancellationTokenSource limit = new(s_patience);
        Session? session = null;
        tally.Begin();
        try
        {
            session = await Session.OpenAsync(settings, Way.LargeConnection, limit.Token);
            TagBoard board = new("controller 'packing'", s_tags, NullLogger.Instance);
            TagRound round = new(session, board, clock);
            TagSnapshot into = new(s_tags.Length);
            for (int i = 0; i < 100; i++)
            {
                await round.ReadAsync(into, limit.Token);
                for (int tag = 0; tag < s_tags.Length; tag++)
                    Assert.True(IsWhole(into, tag), $"{s_tags[tag].Name} is {into.Statuses[tag]}");
                tally.End("read");
                tally.Begin();
            }
        }
        catch (LinkException refusal)
        {
            Assert.EndsWith(refusal.Message.TrimEnd('.'), refusal.Message, StringComparison.Ordinal);
            Assert.InRange(refusal.Message.Length, 20, 400);
            tally.End("refused");
        }
        catch (SocketException)
        {
            tally.End("broken off");
        }
        catch (OperationCanceledException)
        {
            tally.End("late");
        }
        finally
        {
            session?.Dispose();
        }
    }

    /// <summary>A value where it is good, none where it is not.</summary>
    private static bool IsWhole(TagSnapshot read, int tag)
    {
        bool isText = s_tags[tag].Type == TagType.String;
        return read.Statuses[tag] == TagStatus.Good
            ? isText == read.Texts[tag] is not null
            : read.Texts[tag] is null && double.IsNaN(read.Numbers[tag]);
    }

    private static TagTable Tags()
    {
        TagTable table = new();
        table.AddReal("Tea1.DancerGap").Value = 2_050;
        table.AddReal("Tea1.UnwindSpeed").Value = 18;
        table.AddBool("Tea1.Running").Value = true;
        table.AddString("Tea1.Recipe").Value = "Assam 100 g";
        table.AddDints("Counts", 20);
        table.AddBools("Flags", 64);
        table.AddDint("Status").Value = 0x20;
        table.AddSint("Small").Value = -3;
        table.AddInt("Middle").Value = -300;
        table.AddLint("Long").Value = long.MinValue;
        table.AddLreal("Double").Value = Math.PI;
        table.AddReal("Program:Main.Speed").Value = 60;
        return table;
    }
}
