using System.Runtime.InteropServices;

namespace Dancerwatch.Polling;

/// <summary>The floor: one thread that sleeps until absolute deadlines and does nothing else.</summary>
internal static partial class BareDeadlines
{
    private const int Monotonic = 1;
    private const int Absolute = 1;
    private const int TimerSlack = 29;

    public static Percentiles Wait(TimeSpan period, TimeSpan run)
    {
        Percentiles late = new((int)(run / period) + 1);
        if (!OperatingSystem.IsLinux())
            return late;
        Thread thread = new(() =>
        {
            // By default the kernel may end a sleep 50 us later than asked for, to end several at once.
            _ = SetThread(TimerSlack, 1);
            TimeProvider time = TimeProvider.System;
            long nanoseconds = (long)period.TotalNanoseconds;
            long due = time.GetTimestamp();
            for (int i = 0; i < run / period; i++)
            {
                due += nanoseconds;
                TimeSpec until = new(due / 1_000_000_000, due % 1_000_000_000);
                _ = Sleep(Monotonic, Absolute, until, 0);
                late.Add((time.GetTimestamp() - due) / 100);
            }
        });
        thread.Start();
        thread.Join();
        return late;
    }

    [LibraryImport("libc", EntryPoint = "clock_nanosleep")]
    private static partial int Sleep(int clock, int flags, in TimeSpec until, nint left);

    [LibraryImport("libc", EntryPoint = "prctl")]
    private static partial int SetThread(int what, nint nanoseconds);

    /// <summary>Seconds and nanoseconds, each a machine word.</summary>
    private readonly record struct TimeSpec(nint Seconds, nint Nanoseconds)
    {
        public TimeSpec(long seconds, long nanoseconds)
            : this((nint)seconds, (nint)nanoseconds) { }
    }
}
