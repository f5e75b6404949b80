using System.Globalization;
using System.Text;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.EdgeAgent.Commands.Tailing;
using Dancerwatch.EdgeAgent.Demo;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EndToEnd.Tests.Contract;
using Dancerwatch.EndToEnd.Tests.Demo;

[assembly: AssemblyFixture(typeof(DemoCapture))]

namespace Dancerwatch.EndToEnd.Tests.Demo;

/// <summary>
/// One whole run of <c>demo</c>, as long as it takes, with every message that went through its broker, and every frame of
/// EtherNet/IP where tshark can.
/// </summary>
public sealed class DemoCapture : IAsyncLifetime
{
    // Twice the demo's own limit, for a busy computer.
    private static readonly TimeSpan s_limit = TimeSpan.FromMinutes(8);
    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-demo-");
    private readonly int _port = LoopbackPort.Free();
    private readonly int _brokerPort = LoopbackPort.Free();
    private readonly Lazy<Task> _run;

    // Lazy: tests of several classes ask at once.
    public DemoCapture() => _run = new Lazy<Task>(RunAsync);

    public string Recordings => Path.Combine(_directory.FullName, "recordings");
    public string Frames => Path.Combine(_directory.FullName, "frames.pcapng");

    /// <summary>Why nothing was captured; null where something was.</summary>
    public string? NoCapture { get; private set; }
    public int ExitCode { get; private set; }

    /// <summary>What was published, in its order.</summary>
    internal IReadOnlyList<PublishedMessage> Published { get; private set; } = [];

    /// <summary>What the demo said.</summary>
    public string Output { get; private set; } = "";
    public string Errors { get; private set; } = "";

    /// <summary>The table at the end: cells of each machine's row, by machine.</summary>
    public string Row(string machine) =>
        Output[Output.IndexOf("machine  tripped", StringComparison.Ordinal)..]
            .Split('\n')
            .First(line => line.StartsWith(machine, StringComparison.Ordinal));

    /// <summary>Runs the demo if it was not run yet. Started by the first test that needs it.</summary>
    public Task RanAsync() => _run.Value;

    /// <summary>What tshark says of the captured frames that fit <paramref name="filter"/>: a line a frame, fields apart by tabs.</summary>
    public async Task<IReadOnlyList<string>> DissectAsync(string filter, params string[] fields)
    {
        string tshark = ToolProcess.Require("tshark");
        string[] arguments =
        [
            "-r",
            Frames,
            "-d",
            string.Create(CultureInfo.InvariantCulture, $"tcp.port=={_port},enip"),
            "-Y",
            filter,
            "-T",
            "fields",
            .. fields.SelectMany(field => new[] { "-e", field }),
        ];
        await using ToolProcess dissector = new(tshark, arguments);
        IReadOnlyList<string> lines = await dissector.LinesToEndAsync(TestContext.Current.CancellationToken);
        return [.. lines.Where(line => !line.Contains("Running as user", StringComparison.Ordinal))];
    }

    /// <summary>Replays a trace and gives each event as <c>tail</c> would print it.</summary>
    public async Task<IReadOnlyList<string>> ReplayAsync(string trace)
    {
        string config = Path.Combine(_directory.FullName, "tea-hall.jsonc");
        string events = Path.Combine(_directory.FullName, "events.jsonl");
        await File.WriteAllBytesAsync(config, TeaHallSettings.Text(), TestContext.Current.CancellationToken);
        await using StringWriter said = new();
        await CommandLine.RunAsync(
            ["replay", "--config", config, "--input", trace, "--events", events],
            said,
            said,
            TestContext.Current.CancellationToken
        );
        Assert.True(File.Exists(events), said.ToString());
        return
        [
            .. File.ReadLines(events)
                .Select(line =>
                    ReceivedEvent.TryRead(
                        Encoding.UTF8.GetBytes(line),
                        out ReceivedEvent? told,
                        out string problem
                    )
                        ? WarningText.Of(told, TimeZoneInfo.Local)
                        : problem
                ),
        ];
    }

    public ValueTask InitializeAsync() => ValueTask.CompletedTask;

    public ValueTask DisposeAsync()
    {
        _directory.Delete(recursive: true);
        return ValueTask.CompletedTask;
    }

    private async Task RunAsync()
    {
        CancellationToken cancellation = TestContext.Current.CancellationToken;
        await using ToolProcess? capture = await CaptureAsync();
        using BrokerCapture broker = new(_brokerPort);
        Task listening = broker.ListenAsync(cancellation);
        await using StringWriter output = new();
        await using StringWriter error = new();
        ExitCode = await CommandLine
            .RunAsync(
                [
                    "demo",
                    "--controller-port",
                    _port.ToString(CultureInfo.InvariantCulture),
                    "--broker-port",
                    _brokerPort.ToString(CultureInfo.InvariantCulture),
                    "--record",
                    Recordings,
                ],
                output,
                error,
                cancellation
            )
            .WaitAsync(s_limit, cancellation);
        (Output, Errors) = (output.ToString(), error.ToString());
        await listening;
        Published = [.. broker.Heard];
        if (capture is not null)
            await capture.InterruptAsync(cancellation);
    }

    private async Task<ToolProcess?> CaptureAsync()
    {
        const string Tshark = "/usr/bin/tshark";
        if (!File.Exists(Tshark))
        {
            NoCapture = "tshark is not installed (Debian: apt-get install tshark)";
            return null;
        }
        (ToolProcess? capture, NoCapture) = await PacketCapture.StartAsync(Tshark, _port, Frames);
        return capture;
    }
}
