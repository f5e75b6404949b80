using System.Globalization;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Outbox.Disk;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Warnings;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.Soak;

/// <summary>
/// Where the time goes between a raised event and the moment it may be sent: the flush of the disk alone, and the whole way
/// through the outbox, event after event on the same disk.
/// </summary>
internal static class EventDelay
{
    private const int Events = 1_000;
    private const int EventBytes = 1_400;
    private static readonly TimeSpan s_pause = TimeSpan.FromMilliseconds(10);

    /// <param name="directory">On the disk that is to be measured.</param>
    public static async Task RunAsync(string directory)
    {
        TimeProvider time = TimeProvider.System;
        string state = Path.Combine(directory, $"dancerwatch-delay-{Guid.NewGuid():N}");
        List<double> flushes = [];
        List<double> whole = [];
        EventOutbox outbox = EventOutbox.OnDisk(
            state,
            new(),
            "/leafside/tea-hall/agents/delay",
            time,
            NullLogger.Instance
        );
        using CancellationTokenSource end = new();
        Task keeping = outbox.RunAsync(end.Token);
        using (IStateFile file = StateFolder.Open(state, "plain").Create("plain", EventBytes * Events))
        {
            byte[] bytes = new byte[EventBytes];
            for (int i = 0; i < Events; i++)
            {
                await Task.Delay(s_pause, time);
                long begun = time.GetTimestamp();
                file.Write((long)i * EventBytes, bytes);
                file.Flush();
                flushes.Add(time.GetElapsedTime(begun).TotalMilliseconds);

                await Task.Delay(s_pause, time);
                begun = time.GetTimestamp();
                outbox.Raise(Event(i));
                OutboxEntry entry = await outbox.PeekAsync(end.Token);
                whole.Add(time.GetElapsedTime(begun).TotalMilliseconds);
                outbox.Acknowledge(entry);
            }
        }
        await end.CancelAsync();
        await keeping;
        await outbox.DisposeAsync();
        Directory.Delete(state, recursive: true);
        Console.WriteLine($"{directory}, {Events} events of {EventBytes} bytes, ms");
        Print("write and flush alone", flushes);
        Print("raised until on disk and given out", whole);
    }

    private static MachineEvent Event(int number) =>
        new(
            new MachinePlace("leafside", "tea-hall", "line-1", "tea-1"),
            OnsetMilliseconds: number,
            Milliseconds: number,
            new ConditionTransition
            {
                Ticks = number,
                OnsetTicks = number,
                Step = 0,
                Condition = Condition.LimitApproach,
                State = ConditionState.Raised,
                Priority = Priority.High,
                Side = Side.Full,
                FillPercent = 88.25,
                MarginPercent = 6.5,
                SecondsToLimit = 4.75,
                Probability = 0.93,
                FrequencyHz = double.NaN,
                AmplitudePercent = double.NaN,
                Causes = new CauseRanking(new RankedCause(Cause.RollOverrun, 0.8), default, default),
                Evidence = new string('e', 300),
                Check = new string('c', 300),
            }
        );

    private static void Print(string what, List<double> milliseconds)
    {
        milliseconds.Sort();
        string Of(double share) =>
            milliseconds[(int)(share * (milliseconds.Count - 1))]
                .ToString("0.00", CultureInfo.InvariantCulture);
        Console.WriteLine(
            $"  {what, -36} p50 {Of(0.5), 7}   p90 {Of(0.9), 7}   p99 {Of(0.99), 7}   most {Of(1), 7}"
        );
    }
}
