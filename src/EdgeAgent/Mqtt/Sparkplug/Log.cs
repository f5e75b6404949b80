using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>What the edge node writes to the log, besides what every client does. Event ids 2050 to 2099; never reused.</summary>
internal static partial class Log
{
    [LoggerMessage(
        EventId = 2050,
        Level = LogLevel.Information,
        Message = "Edge node {Node}: born at the {Broker}, connection {Connection}"
    )]
    public static partial void NodeBorn(this ILogger logger, string node, string broker, int connection);

    [LoggerMessage(
        EventId = 2051,
        Level = LogLevel.Information,
        Message = "Edge node {Node}: nothing is published before primary host '{Host}' says on {Topic} that it is online; events wait meanwhile"
    )]
    public static partial void WaitsForHost(this ILogger logger, string node, string host, string topic);

    [LoggerMessage(
        EventId = 2052,
        Level = LogLevel.Warning,
        Message = "Edge node {Node}: primary host '{Host}' is offline. Connecting anew; events wait meanwhile"
    )]
    public static partial void HostLeft(this ILogger logger, string node, string host);

    [LoggerMessage(
        EventId = 2053,
        Level = LogLevel.Warning,
        Message = "Edge node {Node}: births are asked for more often than every {Seconds:F0} s, and come that often at most. A host that asks and asks may not understand them, or there are many hosts. Not told again over this connection"
    )]
    public static partial void RebirthsRefused(this ILogger logger, string node, double seconds);

    [LoggerMessage(
        EventId = 2054,
        Level = LogLevel.Warning,
        Message = "Edge node {Node}: what came on {Topic} ({Bytes} bytes) is {What}; it is ignored, and so is what follows of that kind. Allowed: {Allowed}. Who publishes there? Not told again over this connection"
    )]
    public static partial void Ignored(
        this ILogger logger,
        string node,
        string topic,
        long bytes,
        string what,
        string allowed
    );

    [LoggerMessage(
        EventId = 2055,
        Level = LogLevel.Error,
        Message = "The {Broker} does not let '{User}' listen to {Topic}: {Answer}. Allow it in the broker's access list"
    )]
    public static partial void ListenForbidden(
        this ILogger logger,
        string broker,
        string user,
        string topic,
        string answer
    );

    [LoggerMessage(
        EventId = 2056,
        Level = LogLevel.Warning,
        Message = "Edge node {Node}: the number of this connection cannot be kept in the state directory: {Trouble}. A host may take a death that comes late for that of a later connection"
    )]
    public static partial void NumberNotKept(this ILogger logger, string node, string trouble);
}
