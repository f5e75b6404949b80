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
        Message = "There is no stateDirectory: events that wait for the broker, windows and raised conditions are in memory, and end with the program"
    )]
    public static partial void NothingSurvives(this ILogger logger);

    [LoggerMessage(
        EventId = 2205,
        Level = LogLevel.Error,
        Message = "{Loop} hangs; the service manager, where there is one, hears nothing more of us until it goes on, and starts us anew"
    )]
    public static partial void LoopStuck(this ILogger logger, string loop);

    [LoggerMessage(
        EventId = 2206,
        Level = LogLevel.Critical,
        Message = "{Part} has died; the whole ends, so that it is started anew"
    )]
    public static partial void PartDied(this ILogger logger, Exception? why, string part);

    [LoggerMessage(
        EventId = 2207,
        Level = LogLevel.Warning,
        Message = "{Part} did not end within {LimitMs} ms; it is left behind"
    )]
    public static partial void LeftBehind(this ILogger logger, string part, double limitMs);

    [LoggerMessage(
        EventId = 2208,
        Level = LogLevel.Information,
        Message = "The changed configuration is in force. Of what runs, touched was: {Touched}"
    )]
    public static partial void Reloaded(this ILogger logger, string touched);

    [LoggerMessage(EventId = 2209, Level = LogLevel.Error, Message = "{Finding}")]
    public static partial void SettingRefused(this ILogger logger, string finding);

    [LoggerMessage(
        EventId = 2212,
        Level = LogLevel.Error,
        Message = "The changed configuration {File} is refused, and the old one stays in force. To put right: {Count}"
    )]
    public static partial void ReloadRefused(this ILogger logger, string file, int count);

    [LoggerMessage(
        EventId = 2213,
        Level = LogLevel.Warning,
        Message = "Machine {Machine} was not there when the recording began, and is not recorded before a restart"
    )]
    public static partial void NotRecorded(this ILogger logger, string machine);

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

    [LoggerMessage(
        EventId = 2214,
        Level = LogLevel.Information,
        Message = "Nothing is recorded: there is no stateDirectory, and recordings names no directory"
    )]
    public static partial void NowhereToRecord(this ILogger logger);
}
