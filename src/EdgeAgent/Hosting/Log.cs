using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Hosting;

/// <summary>What the daemon as a whole writes to the log. Event ids 2200 to 2299; never reused.</summary>
internal static partial class Log
{
    [LoggerMessage(
        EventId = 2200,
        Level = LogLevel.Information,
        Message = "Watching; reading only, {Publishing}. Machines: {Machines}, controllers: {Controllers}"
    )]
    public static partial void Watching(
        this ILogger logger,
        int machines,
        int controllers,
        string publishing
    );

    [LoggerMessage(
        EventId = 2201,
        Level = LogLevel.Information,
        Message = "Stopped; nobody watches any more"
    )]
    public static partial void Stopped(this ILogger logger);

    [LoggerMessage(
        EventId = 2202,
        Level = LogLevel.Warning,
        Message = "No machine names controller {Controller}, so it is not read"
    )]
    public static partial void ControllerWithoutMachines(this ILogger logger, string controller);

    [LoggerMessage(
        EventId = 2203,
        Level = LogLevel.Information,
        Message = "Recorded {Recorded} readings, dropped {Dropped}; {How}"
    )]
    public static partial void Recorded(this ILogger logger, long recorded, long dropped, string how);

    [LoggerMessage(
        EventId = 2204,
        Level = LogLevel.Information,
        Message = "There is no stateDirectory: events that wait for the broker wait in memory, and end with the program"
    )]
    public static partial void NothingSurvives(this ILogger logger);

    [LoggerMessage(
        EventId = 2210,
        Level = LogLevel.Warning,
        Message = "{Machine}: {Condition} {State}, side {Side}, cause {Cause}. {Evidence}"
    )]
    public static partial void ConditionRaised(
        this ILogger logger,
        string machine,
        string condition,
        string state,
        string side,
        string cause,
        string evidence
    );

    [LoggerMessage(EventId = 2211, Level = LogLevel.Information, Message = "{Machine}: {Condition} cleared")]
    public static partial void ConditionCleared(this ILogger logger, string machine, string condition);
}
