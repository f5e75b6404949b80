using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Polling;

/// <summary>What polling writes to the log. Event ids 1100 to 1199; never reused.</summary>
internal static partial class Log
{
    [LoggerMessage(
        EventId = 1100,
        Level = LogLevel.Warning,
        Message = "{Count} polls of {Controller} were missed: a poll took longer than the poll interval. Raise the interval, or look for what slows the controller, the network or this computer"
    )]
    public static partial void PollsMissed(this ILogger logger, long count, string controller);

    [LoggerMessage(
        EventId = 1101,
        Level = LogLevel.Error,
        Message = "{Sink} failed on a poll of {Controller}; the others go on"
    )]
    public static partial void SinkFailed(
        this ILogger logger,
        Exception failure,
        string sink,
        string controller
    );

    [LoggerMessage(
        EventId = 1102,
        Level = LogLevel.Error,
        Message = "The driver of {Controller} failed unexpectedly; the poll counts as failed and polling goes on"
    )]
    public static partial void ReaderFailed(this ILogger logger, Exception failure, string controller);
}
