using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>What the recording writes to the log. Event ids 2400 to 2499; never reused.</summary>
internal static partial class Log
{
    [LoggerMessage(
        EventId = 2400,
        Level = LogLevel.Information,
        Message = "Every reading is recorded in {Folder}; run {Run}"
    )]
    public static partial void RecordingBegun(this ILogger logger, string folder, long run);

    [LoggerMessage(
        EventId = 2401,
        Level = LogLevel.Error,
        Message = "Readings cannot be recorded: {Trouble}. Watching goes on; {Folder} needs space, or its rights or its disk put right"
    )]
    public static partial void RecordingTroubleBegun(this ILogger logger, string trouble, string folder);

    [LoggerMessage(EventId = 2402, Level = LogLevel.Information, Message = "Readings are recorded again")]
    public static partial void RecordingTroubleOver(this ILogger logger);

    [LoggerMessage(
        EventId = 2403,
        Level = LogLevel.Warning,
        Message = "{Readings} readings of {Machine} are not in the recording: the disk was too slow or took nothing"
    )]
    public static partial void ReadingsNotRecorded(this ILogger logger, long readings, string machine);

    [LoggerMessage(
        EventId = 2404,
        Level = LogLevel.Warning,
        Message = "{File} is set aside, for it is not whole: {Trouble}. The rest of the recording can be read"
    )]
    public static partial void RecordingSetAside(this ILogger logger, string file, string trouble);

    [LoggerMessage(
        EventId = 2405,
        Level = LogLevel.Debug,
        Message = "The oldest of the recording was deleted for the newest: {File}"
    )]
    public static partial void OldestRecordingDeleted(this ILogger logger, string file);

    [LoggerMessage(
        EventId = 2406,
        Level = LogLevel.Information,
        Message = "{Machine}: {Readings} readings around {What} are kept in the black box"
    )]
    public static partial void KeptInBlackBox(
        this ILogger logger,
        string machine,
        long readings,
        string what
    );

    [LoggerMessage(
        EventId = 2407,
        Level = LogLevel.Error,
        Message = "Recording has ended by a fault of the program, please report it; watching goes on"
    )]
    public static partial void RecordingFailed(this ILogger logger, Exception failure);
}
