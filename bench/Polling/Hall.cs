using Dancerwatch.EdgeAgent;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Polling;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.Polling;

/// <summary>Controllers of eight tags, each polled every 20 ms.</summary>
internal static class Hall
{
    public static readonly TimeSpan Period = TimeSpan.FromMilliseconds(20);
    private static readonly TimeSpan s_warmUp = TimeSpan.FromSeconds(2);

    /// <summary>Polls them all for a while, by the daemon's own poll loops.</summary>
    public static Task<(Cost Cost, PollMeter Meter)> PollAsync(int controllers, TimeSpan run) =>
        RunAsync(
            controllers,
            run,
            (name, reader, clock, meter, stop) =>
                new ControllerPoller(
                    name,
                    reader,
                    Period,
                    clock,
                    [],
                    meter,
                    NullLogger<ControllerPoller>.Instance
                ).RunAsync(stop)
        );

    /// <summary>The obvious way: read, then wait for what is left of the period.</summary>
    public static Task<(Cost Cost, PollMeter Meter)> DelayAsync(int controllers, TimeSpan run) =>
        RunAsync(
            controllers,
            run,
            async (name, reader, clock, meter, stop) =>
            {
                TagSnapshot snapshot = new(reader.Tags.Count);
                for (long due = clock.Ticks; !stop.IsCancellationRequested; due += Period.Ticks)
                {
                    TimeSpan left = TimeSpan.FromTicks(Math.Max(0, due - clock.Ticks));
                    await Task.Delay(left, CancellationToken.None);
                    long start = clock.Ticks;
                    await reader.ReadAsync(snapshot, CancellationToken.None);
                    meter.PollCompleted(
                        name,
                        new PollTimes(Math.Min(due, start), start, snapshot.Ticks, clock.Ticks),
                        PollOutcome.Complete
                    );
                }
            }
        );

    private static async Task<(Cost Cost, PollMeter Meter)> RunAsync(
        int controllers,
        TimeSpan run,
        Func<string, ITagReader, MonotonicClock, PollMeter, CancellationToken, Task> loop
    )
    {
        const int tags = 8;
        await using ControllerProcess process = new(controllers, tags);
        MonotonicClock clock = new(TimeProvider.System);
        PollMeter meter = new((int)(1.1 * controllers * (run / Period)) + 1);
        ITagReader[] readers = [.. Enumerable.Range(0, controllers).Select(i => process.Reader(i, clock))];
        using CancellationTokenSource stop = new();
        Task[] loops =
        [
            .. readers.Select(
                (reader, i) => Task.Run(() => loop($"packing-{i}", reader, clock, meter, stop.Token))
            ),
        ];
        await Task.Delay(s_warmUp);
        meter.Clear();
        Cost cost = await Cost.OfAsync(process, () => Task.Delay(run));
        (long missed, long failed, int polls) = (meter.Missed, meter.Failed, meter.Lateness.Count);
        await stop.CancelAsync();
        await Task.WhenAll(loops);
        foreach (ITagReader reader in readers)
            await reader.DisposeAsync();
        if (failed > 0 || polls < 0.9 * controllers * (run / Period))
            throw new InvalidOperationException(
                $"{failed} polls failed, {polls} were done, {missed} missed: these are no numbers."
            );
        return (cost, meter);
    }
}
