using System.Globalization;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Tests.Mqtt;
using Dancerwatch.EdgeAgent.Tests.Watching;

namespace Dancerwatch.EdgeAgent.Tests.Commands;

public sealed class TailTests
{
    [Fact]
    public async Task A_warning_is_printed_as_it_comes_and_an_end_by_the_reader_is_no_failure()
    {
        await using EmbeddedBroker broker = await EmbeddedBroker.StartAsync();
        using CancellationTokenSource stop = new();
        await using SharedText output = new();
        await using SharedText error = new();
        Task<int> tail = CommandLine.RunAsync(
            ["tail", "--broker", $"127.0.0.1:{broker.Port}"],
            output,
            error,
            stop.Token
        );
        await using PublisherBench bench = new(new MqttSettings { Host = "127.0.0.1", Port = broker.Port });
        // Until one is heard: events are not retained, and tail may not have subscribed yet.
        for (int step = 0; output.ToString().Length == 0 && step < 10_000; step++)
        {
            bench.Outbox.Raise(Machines.Event(Machines.LimitApproach with { Step = step }));
            await Eventually.IsTrueAsync(
                () => bench.Outbox.Waiting == 0,
                "the event is acknowledged",
                seconds: 20
            );
        }
        await stop.CancelAsync();

        Assert.Equal(ExitCodes.Ok, await tail.WaitAsync(TimeSpan.FromSeconds(20), CancellationToken.None));
        Assert.Contains(
            "tea-1  limit-approach raised: high priority, full side",
            output.ToString(),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task A_script_hears_by_the_exit_code_that_nothing_was_warned_of()
    {
        await using EmbeddedBroker broker = await EmbeddedBroker.StartAsync();

        ProgramRun run = await ProgramRun.Of("tail", "--broker", $"127.0.0.1:{broker.Port}", "--for", "1");

        Assert.Equal((ExitCodes.Ok, ""), (run.Code, run.Output));
    }

    [Fact]
    public async Task A_broker_that_cannot_be_reached_is_an_answer()
    {
        int port;
        await using (EmbeddedBroker gone = await EmbeddedBroker.StartAsync())
            port = gone.Port;

        ProgramRun run = await ProgramRun.Of("tail", "--broker", $"127.0.0.1:{port}");

        Assert.Equal(ExitCodes.Unreachable, run.Code);
        Assert.Contains($"127.0.0.1:{port} refuses connections", run.Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("tail")]
    [InlineData("tail", "--broker", "192.0.2.5", "--config", "config/example.jsonc")]
    [InlineData("tail", "--broker", "192.0.2.5:port")]
    [InlineData("tail", "--broker", "192.0.2.5:70000")]
    [InlineData("tail", "--broker", "192.0.2.5", "--since", "2026-11-25")]
    [InlineData("tail", "--broker", "192.0.2.5", "--history-only")]
    [InlineData("tail", "--broker", "192.0.2.5", "--priority", "urgent")]
    [InlineData("tail", "--broker", "192.0.2.5", "--condition", "hot")]
    [InlineData("tail", "--broker", "192.0.2.5", "--for", "0")]
    [InlineData("tail", "--config", "config/example.jsonc", "--since", "noon")]
    public async Task Wrong_usage_is_told(params string[] args)
    {
        ProgramRun run = await ProgramRun.Of(args);

        Assert.Equal(ExitCodes.Usage, run.Code);
        Assert.NotEmpty(run.Error);
    }

    /// <summary>Written by one thread, read by another.</summary>
    private sealed class SharedText : StringWriter
    {
        private readonly Lock _gate = new();

        public SharedText()
            : base(CultureInfo.InvariantCulture) { }

        public override void Write(string? value)
        {
            lock (_gate)
                base.Write(value);
        }

        public override string ToString()
        {
            lock (_gate)
                return base.ToString();
        }
    }
}
