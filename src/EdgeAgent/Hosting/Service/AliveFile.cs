using System.Globalization;

namespace Dancerwatch.EdgeAgent.Hosting.Service;

/// <summary>
/// A sign of life for who can only look from outside, the health check of a container above all: a file with the time of the
/// last one. The time is monotonic (ns since the computer's start), so that a stepped clock is no death; who looks must be
/// on the same computer.
/// </summary>
/// <param name="directory">Gone with the process, best: one in memory.</param>
internal sealed class AliveFile(string directory, TimeProvider time)
{
    private readonly string _file = Path.Combine(directory, "alive");
    private readonly string _next = Path.Combine(directory, "alive.new");

    /// <summary>In the directory that RUNTIME_DIRECTORY names, as systemd does (systemd.exec); null where it names none.</summary>
    public static AliveFile? FromEnvironment(TimeProvider time) =>
        Environment.GetEnvironmentVariable("RUNTIME_DIRECTORY")?.Split(':')[0] is { Length: > 0 } directory
            ? new AliveFile(directory, time)
            : null;

    /// <summary>Gives a sign. Where that cannot be written, the one before grows old.</summary>
    public void Write()
    {
        try
        {
            File.WriteAllText(_next, time.GetTimestamp().ToString(CultureInfo.InvariantCulture));
            File.Move(_next, _file, overwrite: true);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // Whoever looks will see.
        }
    }

    /// <summary>How long ago the last sign was; null where there is none that can be read.</summary>
    public TimeSpan? Age()
    {
        try
        {
            string text = File.ReadAllText(_file);
            return
                long.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out long last)
                && last <= time.GetTimestamp()
                ? time.GetElapsedTime(last)
                : null;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }
}
