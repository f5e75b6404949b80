using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Controllers;

/// <summary>What the drivers write to the log. Event ids 1000 to 1099; never reused.</summary>
internal static partial class Log
{
    [LoggerMessage(EventId = 1000, Message = "Connected to {Controller}; {TagCount} tags are read {How}")]
    public static partial void Connected(
        this ILogger logger,
        LogLevel level,
        string controller,
        int tagCount,
        string how
    );

    [LoggerMessage(
        EventId = 1001,
        Level = LogLevel.Warning,
        Message = "{Controller} {Trouble}. Next try in {RetryDelayMs} ms, and so on until it answers"
    )]
    public static partial void ConnectFailed(
        this ILogger logger,
        string controller,
        string trouble,
        double retryDelayMs
    );

    [LoggerMessage(
        EventId = 1002,
        Level = LogLevel.Debug,
        Message = "{Controller} {Trouble}. Next try in {RetryDelayMs} ms"
    )]
    public static partial void ConnectFailedAgain(
        this ILogger logger,
        string controller,
        string trouble,
        double retryDelayMs
    );

    [LoggerMessage(EventId = 1003, Message = "{Controller} {Trouble}")]
    public static partial void ConnectionLost(
        this ILogger logger,
        LogLevel level,
        string controller,
        string trouble
    );

    [LoggerMessage(
        EventId = 1004,
        Message = "{Controller} grants less than asked for: {Refusal}. It is read {How}"
    )]
    public static partial void ConnectionRefused(
        this ILogger logger,
        LogLevel level,
        string controller,
        string refusal,
        string how
    );

    [LoggerMessage(EventId = 1010, Level = LogLevel.Warning, Message = "{Controller}: {Trouble}")]
    public static partial void TagTroubleBegan(this ILogger logger, string controller, string trouble);

    [LoggerMessage(
        EventId = 1011,
        Level = LogLevel.Information,
        Message = "{Controller}: tag '{Tag}' is read again"
    )]
    public static partial void TagTroubleEnded(this ILogger logger, string controller, string tag);
}
