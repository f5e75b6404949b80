using System.Globalization;
using Dancerwatch.Footprint;

namespace Dancerwatch.Soak;

/// <summary>The native program with eight machines at 50 Hz for minutes of real time, watched from outside.</summary>
internal static class RealTime
{
    private static readonly TimeSpan s_sample = TimeSpan.FromSeconds(5);

    // Services that only read: Multiple Service Packet, Read Tag, and the opening and closing of a connection (CIP volume 1).
    private static readonly int[] s_readServices = [0x0A, 0x4C, 0x4E, 0x52, 0x54, 0x5B];

    /// <returns>Whether all was as it must be.</returns>
    public static async Task<bool> RunAsync(string program, string teaHall, double minutes)
    {
        TimeProvider time = TimeProvider.System;
        await using EightMachines hall = new();
        using Capture capture = new(hall.ControllerPorts);
        using Watchdog watchdog = new();
        using AgentRun agent = new(program, hall.WriteConfiguration(teaHall), watchdog.Environment);
        // Everything has been done once: the last are files of recordings, after a quarter of an hour.
        double warmUp = Math.Min(16, 0.55 * minutes);
        Flatness memory = new("memory (RSS)", "MB", mostGrowthPercent: 5);
        Flatness handles = new("handles", "number", mostGrowthPercent: 0, step: 1);
        Flatness threads = new("threads (a pool's come and go)", "number", mostGrowthPercent: 5, step: 4);
        long[] readBefore = [];
        double measuredFrom = 0;
        while (Elapsed() < minutes && !agent.HasEnded)
        {
            await Task.Delay(s_sample, time);
            if (Elapsed() < warmUp || agent.HasEnded)
                continue;
            if (readBefore.Length == 0)
                (readBefore, measuredFrom) = ([.. hall.TagsRead], Elapsed());
            memory.Add(agent.Memory / 1e6);
            handles.Add(agent.Handles);
            threads.Add(agent.Threads);
        }
        double seconds = 60 * (Elapsed() - measuredFrom);
        double[] rates = [.. hall.TagsRead.Zip(readBefore, (now, before) => (now - before) / seconds)];
        double silence = watchdog.LongestSeconds;
        double processor = 100 * agent.ProcessorTime.TotalMinutes / Elapsed();
        await agent.StopAsync();
        Capture.Contents frames = await capture.EndAsync();

        CultureInfo culture = CultureInfo.InvariantCulture;
        Console.WriteLine(
            string.Create(
                culture,
                $"Eight machines, 14 tags each, every 20 ms, from two controllers, {minutes} min of real time; machines with faults trip and are started again."
            )
        );
        Flatness.PrintHead();
        bool ok = memory.Print();
        ok &= handles.Print();
        ok &= threads.Print();
        bool isAlive = silence < Watchdog.AllowedSeconds;
        Console.WriteLine(
            string.Create(
                culture,
                $"signs of life: {watchdog.Heard}; the longest time without one {silence:0.0} s of {Watchdog.AllowedSeconds} allowed{(isAlive ? "" : "   MISSED")}"
            )
        );
        Console.WriteLine(
            string.Create(
                culture,
                $"tags read a second: {string.Join(" and ", rates.Select(rate => rate.ToString("0.0", culture)))} of 2800 asked for; messages to the broker: {hall.Messages}, connections to it: {hall.BrokerClients}; warnings in the log: {agent.Warnings}; of one core {processor:0.0} %"
            )
        );
        string services = string.Join(", ", frames.Requests.Select(s => $"0x{s.Key:X2}: {s.Value}"));
        bool isReadOnly = frames.Requests.Count > 0 && frames.Requests.Keys.All(s_readServices.Contains);
        Console.WriteLine(
            string.Create(
                culture,
                $"captured: {frames.Bytes / 1e6:0} MB{(frames.IsWhole ? ", the whole run" : ", its end")}; requests by service: {services}{(isReadOnly ? "; all of them read" : "   MISSED")}; malformed frames: {frames.Malformed}{(frames.Malformed == 0 ? "" : "   MISSED")}"
            )
        );
        return ok && isAlive && isReadOnly && frames.Malformed == 0 && hall.BrokerClients == 1;

        double Elapsed() => time.GetElapsedTime(agent.Started).TotalMinutes;
    }
}
