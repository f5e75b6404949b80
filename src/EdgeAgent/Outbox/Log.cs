using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Outbox;

/// <summary>What the outbox writes to the log. Event ids 2100 to 2199; never reused.</summary>
internal static partial class Log
{
    [LoggerMessage(
        EventId = 2100,
        Level = LogLevel.Information,
        Message = "The outbox in {Directory} holds events {First} to {Last} of earlier"
    )]
    public static partial void OutboxRestored(this ILogger logger, string directory, long first, long last);

    [LoggerMessage(
        EventId = 2101,
        Level = LogLevel.Information,
        Message = "Cut {Bytes} bytes off {Segment}: an event that was being written when the program was ended"
    )]
    public static partial void TornTailCut(this ILogger logger, long bytes, string segment);

    [LoggerMessage(
        EventId = 2102,
        Level = LogLevel.Warning,
        Message = "Bytes in {Segment} are not as they were written; what can be read of it is used. Is the disk failing?"
    )]
    public static partial void SegmentDamaged(this ILogger logger, string segment);

    [LoggerMessage(
        EventId = 2103,
        Level = LogLevel.Warning,
        Message = "{Segment} cannot be read: {Trouble}. Its events are passed over. Is the disk failing?"
    )]
    public static partial void SegmentUnreadable(this ILogger logger, string segment, string trouble);

    [LoggerMessage(
        EventId = 2104,
        Level = LogLevel.Warning,
        Message = "It is not known how far the outbox in {Directory} had come, for its cursor is damaged or gone: what is there is sent again"
    )]
    public static partial void CursorLost(this ILogger logger, string directory);

    [LoggerMessage(
        EventId = 2110,
        Level = LogLevel.Error,
        Message = "The outbox cannot be written: {Trouble}. Events wait in memory and are not published until it can; {Directory} needs space, or its rights or its disk put right"
    )]
    public static partial void DiskTroubleBegun(this ILogger logger, string trouble, string directory);

    [LoggerMessage(
        EventId = 2111,
        Level = LogLevel.Information,
        Message = "The outbox can be written again; what waited in memory is on disk"
    )]
    public static partial void DiskTroubleOver(this ILogger logger);

    [LoggerMessage(
        EventId = 2112,
        Level = LogLevel.Warning,
        Message = "The outbox is full: events up to {Last} that no broker had taken were deleted for newer ones. The broker has been away for long, or maximumMegabytes is small"
    )]
    public static partial void OldestDeleted(this ILogger logger, long last);

    [LoggerMessage(EventId = 2113, Level = LogLevel.Error, Message = "Events {First} to {Last} are lost")]
    public static partial void EventsLost(this ILogger logger, long first, long last);

    [LoggerMessage(
        EventId = 2114,
        Level = LogLevel.Warning,
        Message = "A rejected event could not be put aside: {Trouble}"
    )]
    public static partial void RejectedNotKept(this ILogger logger, string trouble);
}
