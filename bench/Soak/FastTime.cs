using System.Globalization;
using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.EdgeAgent;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Outbox.Disk;
using Dancerwatch.EdgeAgent.Snapshots;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.VirtualMachine.Hall;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.Soak;

/// <summary>
/// Eight machines at 50 Hz for hours that pass in minutes: readings of the film path's physics through watches, outbox and
/// snapshots on a real disk, states made every second as they are for the broker, all on a clock that is stepped.
/// </summary>
internal static class FastTime
{
    private const int StepMilliseconds = 20;
    private const int StepsPerHour = 3_600_000 / StepMilliseconds;
    private const int StepsPerState = 1_000 / StepMilliseconds;
    private const int StepsPerLook = 260 / StepMilliseconds;
    private const double WarmUpHours = 0.5;

    /// <summary>After the warm-up a sample is taken each twentieth of an hour.</summary>
    public const double LeastHours = WarmUpHours + 0.1;

    /// <returns>Whether all was as it must be.</returns>
    public static async Task<bool> RunAsync(string teaHall, double hours)
    {
        DirectoryInfo state = Directory.CreateTempSubdirectory("dancerwatch-soak-");
        FakeTimeProvider time = new(new DateTimeOffset(2026, 11, 25, 6, 0, 0, TimeSpan.Zero));
        MonotonicClock clock = new(time);
        NullLogger logger = NullLogger.Instance;
        EventOutbox outbox = EventOutbox.OnDisk(
            state.FullName,
            new(),
            "/leafside/tea-hall/agents/soak",
            time,
            logger
        );
        MachineSnapshots snapshots = new(
            new SnapshotFolder(StateFolder.Open(state.FullName, "snapshots")),
            outbox,
            clock,
            logger
        );
        AgentSettings hall = SettingsFile.Load(teaHall).Settings!;
        HallMachine[] built = [.. TeaHall.Machines, .. TeaHall.Machines];
        AttendedDancer[] dancers = [.. built.Select((machine, i) => new AttendedDancer(machine, seed: i))];
        (MachineWatch Watch, WatchedMachineSettings Settings)[] machines =
        [
            .. built.Select(
                (_, i) =>
                {
                    WatchedMachineSettings settings = hall.Machines[i % hall.Machines.Count] with
                    {
                        Name = $"tea-{i + 1}",
                    };
                    MachinePlace place = MachinePlace.Of(hall, settings);
                    return (new MachineWatch(place, settings.Machine, clock.ToWallClock, outbox), settings);
                }
            ),
        ];
        snapshots.Begin(machines);
        using CancellationTokenSource end = new();
        Task keeping = outbox.RunAsync(end.Token);
        Task sending = SendAsync(outbox, end.Token);

        Flatness live = new("live memory", "MB", mostGrowthPercent: 5);
        Flatness resident = new("memory (RSS)", "MB", mostGrowthPercent: 5);
        Flatness handles = new("handles", "number", mostGrowthPercent: 0, step: 1);
        long begun = TimeProvider.System.GetTimestamp();
        long stateBytes = 0;
        int steps = (int)(hours * StepsPerHour);
        for (int step = 1; step <= steps; step++)
        {
            time.Advance(TimeSpan.FromMilliseconds(StepMilliseconds));
            long ticks = clock.Ticks;
            for (int i = 0; i < machines.Length; i++)
                machines[i].Watch.Process(Feed.All.Read(ticks, dancers[i].Next(StepMilliseconds / 1_000.0)));
            if (step % StepsPerLook == 0)
                snapshots.SaveDue();
            if (step % StepsPerState == 0)
                stateBytes += machines.Sum(machine =>
                    StatePayloads.Of(machine.Watch.State()!).Sum(s => s.Json.Length)
                );
            if (step < WarmUpHours * StepsPerHour || step % (StepsPerHour / 20) != 0)
                continue;
            live.Add(GC.GetTotalMemory(forceFullCollection: true) / 1e6);
            resident.Add(Environment.WorkingSet / 1e6);
            handles.Add(Directory.GetFiles("/proc/self/fd").Length);
        }
        double minutes = TimeProvider.System.GetElapsedTime(begun).TotalMinutes;
        while (outbox.Waiting > 0)
            await Task.Delay(TimeSpan.FromMilliseconds(10), TimeProvider.System);
        snapshots.SaveAll();
        await end.CancelAsync();
        await Task.WhenAll(keeping, sending);
        await outbox.DisposeAsync();
        state.Delete(recursive: true);

        CultureInfo culture = CultureInfo.InvariantCulture;
        Console.WriteLine(
            string.Create(
                culture,
                $"Eight machines, 16 signals each, every 20 ms for {hours} h of stepped time in {minutes:0.0} min: {(long)steps * machines.Length} readings, {dancers.Sum(d => d.Trips)} trips, {dancers.Sum(d => d.Rolls)} rolls changed."
            )
        );
        Flatness.PrintHead();
        bool ok = live.Print();
        ok &= resident.Print();
        ok &= handles.Print();
        Console.WriteLine(
            string.Create(
                culture,
                $"events: {outbox.LastSequence}, lost {outbox.Lost}; states {stateBytes / 1e6:0} MB; snapshots: {snapshots.Saved}, failed {snapshots.Failed}, {snapshots.Bytes / 8e6:0.00} MB a machine, {snapshots.Written / 1e6 * 24 / hours:0} MB a day"
            )
        );
        bool isWhole =
            outbox.LastSequence > 0 && outbox.Lost == 0 && snapshots.Saved > 0 && snapshots.Failed == 0;
        return ok && isWhole;
    }

    /// <summary>Stands for the publisher and a broker that takes everything.</summary>
    private static async Task SendAsync(EventOutbox outbox, CancellationToken cancellation)
    {
        try
        {
            while (true)
                outbox.Acknowledge(await outbox.PeekAsync(cancellation));
        }
        catch (OperationCanceledException) when (cancellation.IsCancellationRequested) { }
    }
}
