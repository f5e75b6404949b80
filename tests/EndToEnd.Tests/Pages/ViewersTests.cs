using System.Globalization;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Hosting;
using Dancerwatch.EdgeAgent.Tests.Hosting;
using Dancerwatch.EndToEnd.Tests.Faults;
using Dancerwatch.EndToEnd.Tests.Outbox;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EndToEnd.Tests.Pages;

/// <summary>What viewers cost the poll loops.</summary>
public sealed class ViewersTests
{
    private const int Viewers = 20;
    private const int Polls = 400;
    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;

    [Fact]
    public async Task Twenty_viewers_do_not_hold_up_the_poll_loops()
    {
        await using TestHall hall = new("viewed", machines: 8);
        using LatenessMeter meter = new("viewed");
        AgentSettings settings = TestHall.Watching(
            [hall.Settings],
            [.. Enumerable.Range(1, hall.Machines).Select(hall.Machine)]
        ) with
        {
            StatusPage = new StatusPageSettings { Enabled = true, Port = 0 },
        };
        await using Agent agent = new(settings, TimeProvider.System, NullLoggerFactory.Instance);
        using CancellationTokenSource stop = CancellationTokenSource.CreateLinkedTokenSource(s_end);
        Task watching = agent.RunAsync(stop.Token);
        await Eventually.IsTrueAsync(() => agent.HasComeRound, seconds: 20);

        // In turns, so that what else the computer does falls on both.
        for (int turn = 1; turn <= 2; turn++)
        {
            await MeasureAsync(meter, "alone", turn * Polls);
            using CancellationTokenSource gone = CancellationTokenSource.CreateLinkedTokenSource(s_end);
            Task[] viewers =
            [
                .. Enumerable
                    .Range(0, Viewers)
                    .Select(i =>
                        LookAsync(
                            new Uri($"http://{agent.PageEndPoint}/events?machine=viewed-{1 + (i % 8)}"),
                            gone.Token
                        )
                    ),
            ];
            await MeasureAsync(meter, "viewed", turn * Polls);
            Assert.All(viewers, viewer => Assert.False(viewer.IsCompleted)); // all of them looked to the end
            await gone.CancelAsync();
            await Task.WhenAll(viewers)
                .ConfigureAwait(
                    ConfigureAwaitOptions.SuppressThrowing | ConfigureAwaitOptions.ContinueOnCapturedContext
                );
        }
        await stop.CancelAsync();
        await watching;

        double alone = meter.P99Milliseconds("alone");
        double viewed = meter.P99Milliseconds("viewed");
        string told = string.Create(
            CultureInfo.InvariantCulture,
            $"start-late p99 of 8 machines: {alone:F2} ms alone, {viewed:F2} ms with {Viewers} viewers ({meter.Polls("alone")} and {meter.Polls("viewed")} polls)"
        );
        Torture.Say(told);
        // Generous, by one poll: a loop that waited for a viewer would be late by seconds; the rest is a busy computer.
        Assert.True(viewed <= (3 * alone) + 20, told);
    }

    private static async Task MeasureAsync(LatenessMeter meter, string during, int polls)
    {
        meter.During = during;
        await Eventually.IsTrueAsync(() => meter.Polls(during) >= polls, seconds: 60);
        meter.During = null;
    }

    private static async Task LookAsync(Uri events, CancellationToken cancellation)
    {
        using HttpClient viewer = new() { Timeout = Timeout.InfiniteTimeSpan };
        using StreamReader lines = new(await viewer.GetStreamAsync(events, cancellation));
        while (await lines.ReadLineAsync(cancellation) is not null) { }
    }
}
