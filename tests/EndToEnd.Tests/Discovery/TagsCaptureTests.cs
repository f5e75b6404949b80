using System.Globalization;
using System.Net;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.EndToEnd.Tests.Survey;
using Dancerwatch.VirtualMachine.Hall;

namespace Dancerwatch.EndToEnd.Tests.Discovery;

/// <summary>A whole run of <c>tags</c>, captured, as an independent dissector (tshark) sees it.</summary>
public sealed class TagsCaptureTests : IDisposable
{
    // Get Attribute List, Multiple Service Packet, Read Tag and Template, Forward Close, Read Tag Fragmented and Unconnected
    // Send, Forward Open, Get Instance Attribute List, Large Forward Open.
    private static readonly int[] s_readServices = [0x03, 0x0A, 0x4C, 0x4E, 0x52, 0x54, 0x55, 0x5B];
    private readonly TemporaryFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Lists_definitions_and_reads_are_all_that_is_asked_and_nothing_is_malformed()
    {
        string tshark = ToolProcess.Require("tshark");
        CancellationToken cancellation = TestContext.Current.CancellationToken;
        PackingHall hall = new(TeaHall.Machines, TimeProvider.System);
        hall.Controller.Start(new IPEndPoint(IPAddress.Loopback, 0));
        int port = hall.Controller.EndPoint.Port;
        string frames = _folder.PathOf("frames.pcapng");
        (ToolProcess? started, string? refusal) = await PacketCapture.StartAsync(tshark, port, frames);
        Assert.SkipWhen(started is null, refusal ?? "");
        await using ToolProcess capture = started;
        await using StringWriter output = new();

        int code = await CommandLine.RunAsync(
            [
                "tags",
                "--host",
                "127.0.0.1",
                "--port",
                port.ToString(CultureInfo.InvariantCulture),
                "--seconds",
                "0.5",
            ],
            output,
            output,
            cancellation
        );
        await hall.Controller.DisposeAsync();
        await capture.InterruptAsync(cancellation);

        // The hall stands still, and its set points are there.
        Assert.True(code is ExitCodes.Ok or ExitCodes.Findings, output.ToString());
        Assert.Contains("gap           Tea1.DancerGap INT", output.ToString(), StringComparison.Ordinal);
        int[] services =
        [
            .. (await DissectAsync(tshark, frames, port, "cip", "cip.sc"))
                .SelectMany(frame => frame.Split(',', '\t'))
                .Where(service => service.Length > 0)
                .Distinct()
                .Select(service =>
                    int.Parse(service.AsSpan(2), NumberStyles.HexNumber, CultureInfo.InvariantCulture)
                ),
        ];
        Assert.Contains(0x55, services);
        Assert.Contains(0x03, services);
        Assert.All(services, service => Assert.Contains(service, s_readServices));
        Assert.Empty(
            await DissectAsync(
                tshark,
                frames,
                port,
                "cip.sc == 0x4e && cip.rr == 0 && !(cip.class == 0x06)",
                "frame.number"
            )
        );
        Assert.Empty(await DissectAsync(tshark, frames, port, "_ws.malformed", "frame.number"));
    }

    private static async Task<IReadOnlyList<string>> DissectAsync(
        string tshark,
        string frames,
        int port,
        string filter,
        string field
    )
    {
        await using ToolProcess dissector = new(
            tshark,
            "-r",
            frames,
            "-d",
            string.Create(CultureInfo.InvariantCulture, $"tcp.port=={port},enip"),
            "-Y",
            filter,
            "-T",
            "fields",
            "-e",
            field
        );
        IReadOnlyList<string> lines = await dissector.LinesToEndAsync(TestContext.Current.CancellationToken);
        return [.. lines.Where(line => !line.Contains("Running as user", StringComparison.Ordinal))];
    }
}
