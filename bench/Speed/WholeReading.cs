using Dancerwatch.Bench.Speed.Traces;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;
using Dancerwatch.VirtualMachine.Faults;

namespace Dancerwatch.Bench.Speed;

/// <summary>
/// A reading through everything, the window of eight hours full: mean and worst, bytes, memory of a machine. Each figure is
/// the least of several passes over the same readings by fresh assessors: what else the computer did plays no part, what the
/// reading itself brings about does so in every pass.
/// </summary>
internal static class WholeReading
{
    private const double TraceSeconds = 900;
    private const double FullHours = 8.1;
    private const int Passes = 4;
    private const int ChunkReadings = 1_000;

    public static void Run()
    {
        // The first of a process is measured while it is still being compiled.
        Measure(Trace.Record(TraceSeconds, readsAll: true), fullHours: 0.5);
        foreach (bool all in new[] { true, false })
        foreach (Fault? fault in new Fault?[] { null, Fault.RollEccentricity })
        {
            Result result = Measure(Trace.Record(TraceSeconds, all, fault), FullHours);
            string what =
                $"{(all ? "all signals" : "gap and unwind speed")}, {(fault is null ? "healthy" : "roll off its middle")}";
            Row.Print($"a reading, {what}: mean", "<= 500 ns", $"{result.MeanNanoseconds:F0} ns");
            Row.Print($"a reading, {what}: worst", "<= 50 us", $"{result.WorstNanoseconds / 1000:F1} us");
            Row.Print($"a reading, {what}: allocated", "0 B", $"{result.Bytes} B");
        }
        Row.Print("a machine with eight hours at 50 Hz: memory", "<= 4 MB", $"{MachineBytes() / 1e6:F2} MB");
    }

    internal readonly record struct Result(double MeanNanoseconds, double WorstNanoseconds, long Bytes);

    /// <param name="fullHours">Of readings before it is measured, h.</param>
    public static Result Measure(Trace trace, double fullHours, int passes = Passes)
    {
        TimeProvider clock = TimeProvider.System;
        int full = (int)(fullHours * 3600 / trace.Settings.PollSeconds);
        double[] single = Highest(trace.Length);
        double[] chunks = Highest(trace.Length / ChunkReadings);
        long bytes = long.MaxValue;
        for (int pass = 0; pass < passes; pass++)
        {
            trace.Rewind();
            MachineAssessor assessor = new(trace.Settings);
            for (int i = 0; i < full; i++)
                assessor.Process(trace.Next());
            long allocated = GC.GetAllocatedBytesForCurrentThread();
            foreach (ref double chunk in chunks.AsSpan())
            {
                long begun = clock.GetTimestamp();
                for (int i = 0; i < ChunkReadings; i++)
                    assessor.Process(trace.Next());
                chunk = Math.Min(chunk, clock.GetElapsedTime(begun).TotalNanoseconds / ChunkReadings);
            }
            bytes = Math.Min(bytes, GC.GetAllocatedBytesForCurrentThread() - allocated);
            foreach (ref double least in single.AsSpan())
            {
                Reading reading = trace.Next();
                long begun = clock.GetTimestamp();
                assessor.Process(reading);
                least = Math.Min(least, clock.GetElapsedTime(begun).TotalNanoseconds);
            }
        }
        return new Result(chunks.Average(), single.Max(), bytes);
    }

    private static double[] Highest(int count)
    {
        double[] values = new double[count];
        Array.Fill(values, double.PositiveInfinity);
        return values;
    }

    private static long MachineBytes()
    {
        Trace trace = Trace.Record(60, readsAll: true);
        const int machines = 20;
        MachineAssessor[] held = new MachineAssessor[machines];
        long before = GC.GetTotalMemory(forceFullCollection: true);
        for (int i = 0; i < machines; i++)
            held[i] = new MachineAssessor(trace.Settings);
        long bytes = (GC.GetTotalMemory(forceFullCollection: true) - before) / machines;
        GC.KeepAlive(held);
        return bytes;
    }
}
