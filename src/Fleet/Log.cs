using Microsoft.Extensions.Logging;

namespace Dancerwatch.Fleet;

/// <summary>What a host of a fleet writes to the log besides what the daemon does. Event ids 3000 to 3099; never reused.</summary>
internal static partial class Log
{
    [LoggerMessage(
        EventId = 3000,
        Level = LogLevel.Information,
        Message = "Host {Host} of version {Version} shares {Controllers} controllers with {Machines} machines; lease {LeaseSeconds} s"
    )]
    public static partial void HostBegins(
        this ILogger logger,
        string host,
        string version,
        int controllers,
        int machines,
        double leaseSeconds
    );

    [LoggerMessage(
        EventId = 3001,
        Level = LogLevel.Information,
        Message = "Reads {Controller}, {WaitedSeconds:F2} s after it was asked to; {Restored} of {Machines} machines go on where they stopped"
    )]
    public static partial void ControllerHeld(
        this ILogger logger,
        string controller,
        double waitedSeconds,
        int restored,
        int machines
    );

    [LoggerMessage(EventId = 3002, Level = LogLevel.Information, Message = "Gives {Controller} back: {Why}")]
    public static partial void ControllerGivenBack(this ILogger logger, string controller, string why);

    [LoggerMessage(EventId = 3003, Level = LogLevel.Warning, Message = "Leaves {Controller} alone: {Why}")]
    public static partial void ControllerLeft(this ILogger logger, string controller, string why);

    [LoggerMessage(
        EventId = 3004,
        Level = LogLevel.Warning,
        Message = "The lease could not be renewed, {LeftSeconds:F1} s of it are left: {Trouble}"
    )]
    public static partial void LeaseNotRenewed(this ILogger logger, double leftSeconds, string trouble);

    [LoggerMessage(
        EventId = 3005,
        Level = LogLevel.Critical,
        Message = "The lease is lost, since {Why}: nothing is polled any more. This host ends; start it anew, it joins once it can"
    )]
    public static partial void LeaseLost(this ILogger logger, string why);

    [LoggerMessage(EventId = 3006, Level = LogLevel.Information, Message = "Host {Host} is {Status}")]
    public static partial void HostIs(this ILogger logger, string host, string status);

    [LoggerMessage(
        EventId = 3007,
        Level = LogLevel.Information,
        Message = "Moves {Controllers} controllers from {From} to {To}, which has fewer"
    )]
    public static partial void Moves(this ILogger logger, int controllers, string from, string to);

    [LoggerMessage(
        EventId = 3008,
        Level = LogLevel.Warning,
        Message = "{Machine} starts afresh, for its snapshot is of no use: {Why}. It was put aside"
    )]
    public static partial void SnapshotAside(this ILogger logger, string machine, string why);

    [LoggerMessage(
        EventId = 3009,
        Level = LogLevel.Warning,
        Message = "What was raised on {Controller} cannot be written down: {Trouble}. It waits, and is not published until it can"
    )]
    public static partial void NotWritten(this ILogger logger, string controller, string trouble);

    [LoggerMessage(
        EventId = 3010,
        Level = LogLevel.Information,
        Message = "Raises {Count} events of {Controller} again that the broker may not have"
    )]
    public static partial void RaisedAgain(this ILogger logger, int count, string controller);

    [LoggerMessage(
        EventId = 3011,
        Level = LogLevel.Warning,
        Message = "The database cannot be used: {Trouble}. This host joins once it can"
    )]
    public static partial void StorageAway(this ILogger logger, string trouble);

    [LoggerMessage(
        EventId = 3012,
        Level = LogLevel.Warning,
        Message = "The roll call did not come through: {Trouble}"
    )]
    public static partial void RollCallFailed(this ILogger logger, string trouble);

    [LoggerMessage(
        EventId = 3013,
        Level = LogLevel.Warning,
        Message = "{Count} events of {Controller} that no broker had taken were dropped from the storage; they are on the disk of the host that raised them"
    )]
    public static partial void OldestForgotten(this ILogger logger, int count, string controller);

    [LoggerMessage(
        EventId = 3014,
        Level = LogLevel.Warning,
        Message = "The roll call's reminder was not set: {Trouble}"
    )]
    public static partial void NoReminder(this ILogger logger, string trouble);
}
