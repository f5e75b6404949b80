using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Snapshots;

internal static partial class Log
{
    [LoggerMessage(
        EventId = 2300,
        Level = LogLevel.Information,
        Message = "{Machine} goes on where it stopped {Seconds} s ago"
    )]
    public static partial void Restored(this ILogger logger, string machine, long seconds);

    [LoggerMessage(
        EventId = 2301,
        Level = LogLevel.Warning,
        Message = "{Machine} starts afresh, for its snapshot is of no use: {Why}. It was put aside as {Name}"
    )]
    public static partial void SetAside(this ILogger logger, string machine, string why, string name);

    [LoggerMessage(
        EventId = 2302,
        Level = LogLevel.Warning,
        Message = "Snapshots of the machines cannot be written: {Trouble}. Watching goes on; a restart now would forget what is newer than the last ones. {Directory} needs space, or its rights or its disk put right"
    )]
    public static partial void SnapshotsNotWritten(this ILogger logger, string trouble, string directory);

    [LoggerMessage(
        EventId = 2303,
        Level = LogLevel.Information,
        Message = "Snapshots of the machines can be written again"
    )]
    public static partial void SnapshotsWrittenAgain(this ILogger logger);

    [LoggerMessage(
        EventId = 2304,
        Level = LogLevel.Information,
        Message = "{Machine} takes over {Count} changes of conditions that were told after its snapshot"
    )]
    public static partial void Recalled(this ILogger logger, string machine, int count);
}
