using System.Globalization;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>
/// Says how far long work has come: a bar that moves, on a terminal; elsewhere a plain line now and then, so that a log stays
/// readable. At the end, how fast it went.
/// </summary>
internal sealed class ProgressReport(TextWriter error, TimeProvider time)
{
    private const int Width = 30;

    private static readonly TimeSpan s_look = TimeSpan.FromMilliseconds(200);
    private static readonly TimeSpan s_line = TimeSpan.FromSeconds(10);

    private readonly bool _isTerminal = ReferenceEquals(error, Console.Error) && !Console.IsErrorRedirected;

    /// <summary>Waits for the work, and says meanwhile how far it is.</summary>
    /// <param name="progress">0 to 1.</param>
    public async Task FollowAsync(Task work, Func<double> progress, Func<long> readings)
    {
        long begun = time.GetTimestamp();
        TimeSpan nextLine = s_line;
        while (!work.IsCompleted)
        {
            await Task.WhenAny(work, Task.Delay(s_look, time));
            TimeSpan elapsed = time.GetElapsedTime(begun);
            if (_isTerminal)
                await error.WriteAsync($"\r{Bar(progress())} {Words(progress(), elapsed)}\e[K");
            else if (elapsed >= nextLine)
            {
                await error.WriteLineAsync(Words(progress(), elapsed));
                nextLine += s_line;
            }
        }
        if (_isTerminal)
            await error.WriteAsync("\r\e[K");
        await work;
        await error.WriteLineAsync(Rate(readings(), time.GetElapsedTime(begun)));
    }

    private static string Bar(double progress)
    {
        int full = (int)(Width * Math.Clamp(progress, 0, 1));
        return $"[{new string('#', full)}{new string('.', Width - full)}]";
    }

    private static string Words(double progress, TimeSpan elapsed)
    {
        string left =
            progress > 0.02
                ? string.Create(
                    CultureInfo.InvariantCulture,
                    $", about {elapsed.TotalSeconds * (1 - progress) / progress:F0} s left"
                )
                : "";
        return string.Create(CultureInfo.InvariantCulture, $"{progress:P0} done{left}");
    }

    private static string Rate(long readings, TimeSpan elapsed) =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"{readings} readings in {elapsed.TotalSeconds:F1} s, {readings / Math.Max(elapsed.TotalSeconds, 0.001):F0} a second"
        );
}
