using System.Globalization;
using Dancerwatch.EdgeAgent.Commands;

namespace Dancerwatch.EndToEnd.Tests.Demo;

/// <summary>The main job, whole: what the README's first command promises, and what went over the wire meanwhile.</summary>
public sealed class DemoTests(DemoCapture demo)
{
    private static readonly int[] s_readServices =
    [
        0x0A, // Multiple Service Packet
        0x4C, // Read Tag
        0x4E, // Forward Close, to the connection manager
        0x52, // Read Tag Fragmented, Unconnected Send
        0x54, // Forward Open
        0x5B, // Large Forward Open
    ];

    [Fact]
    public async Task Each_trip_is_warned_of_before_it_comes_and_the_healthy_machine_is_left_in_peace()
    {
        await demo.RanAsync();

        Assert.True(demo.ExitCode == ExitCodes.Ok, demo.Output + demo.Errors);
        Assert.Empty(demo.Errors);
        foreach ((string machine, string side, string cause) in Expected)
        {
            string row = demo.Row(machine);
            Assert.Contains($"{side} side", row, StringComparison.Ordinal);
            Assert.EndsWith(cause, row, StringComparison.Ordinal);
        }
        Assert.DoesNotContain("  tea-1  ", demo.Output, StringComparison.Ordinal);
    }

    // What TeaHall does to them.
    private static readonly (string Machine, string Side, string Cause)[] Expected =
    [
        ("tea-2", "empty", "brake-drag"),
        ("tea-3", "empty", "loop-hunting"),
        ("tea-4", "empty", "film-snag"),
    ];

    [Fact]
    public async Task An_independent_dissector_sees_read_services_only_and_nothing_malformed()
    {
        await demo.RanAsync();
        Assert.SkipWhen(demo.NoCapture is not null, demo.NoCapture ?? "");

        IReadOnlyList<string> frames = await demo.DissectAsync("cip", "cip.sc");
        int[] services = [.. frames.SelectMany(frame => frame.Split(',', '\t')).Distinct().Select(Hex)];

        // A minute at 50 polls a second is the least there must be.
        Assert.InRange(frames.Count, 3_000, int.MaxValue);
        Assert.Contains(0x4C, services);
        Assert.All(services, service => Assert.Contains(service, s_readServices));
        // Of the requests: a reply names no object, and the dissector does not always find the request it answers.
        Assert.Empty(
            await demo.DissectAsync("cip.sc == 0x4e && cip.rr == 0 && !(cip.class == 0x06)", "frame.number")
        );
        Assert.Empty(await demo.DissectAsync("_ws.malformed", "frame.number"));
    }

    [Fact]
    public async Task A_replay_of_what_was_recorded_tells_the_very_events_that_were_published()
    {
        await demo.RanAsync();
        string trace = Assert.Single(Directory.GetFiles(demo.Recordings));

        IReadOnlyList<string> replayed = await demo.ReplayAsync(trace);

        string published = demo.Output[..demo.Output.IndexOf("machine  tripped", StringComparison.Ordinal)];
        Assert.NotEmpty(replayed);
        Assert.All(replayed, told => Assert.Contains(told, published, StringComparison.Ordinal));
        Assert.Equal(Count(published), replayed.Sum(Count));
    }

    // Headlines of events: what is told under them is indented.
    private static int Count(string text) =>
        text.Split('\n')
            .Count(line =>
                line.Length > 0
                && char.IsAsciiDigit(line[0])
                && !line.Contains("TRIPPED", StringComparison.Ordinal)
            );

    private static int Hex(string text) =>
        int.Parse(text.AsSpan(2), NumberStyles.HexNumber, CultureInfo.InvariantCulture);
}
