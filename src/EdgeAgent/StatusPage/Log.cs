using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.StatusPage;

/// <summary>What the status page writes to the log. Event ids 2500 to 2599; never reused.</summary>
internal static partial class Log
{
    [LoggerMessage(EventId = 2500, Level = LogLevel.Information, Message = "The status page is at {Address}")]
    public static partial void PageServed(this ILogger logger, string address);

    [LoggerMessage(
        EventId = 2501,
        Level = LogLevel.Error,
        Message = "The status page is not served: {Trouble} Watching goes on without it"
    )]
    public static partial void PageNotServed(this ILogger logger, string trouble);

    [LoggerMessage(
        EventId = 2502,
        Level = LogLevel.Warning,
        Message = "Somebody at {Caller} entered a wrong token for the status page"
    )]
    public static partial void WrongToken(this ILogger logger, string caller);

    [LoggerMessage(
        EventId = 2503,
        Level = LogLevel.Warning,
        Message = "The status page could not answer a viewer"
    )]
    public static partial void ViewerFailed(this ILogger logger, Exception failure);
}
