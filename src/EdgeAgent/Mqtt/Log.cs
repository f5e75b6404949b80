using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>What the publisher writes to the log. Event ids 2000 to 2049; never reused.</summary>
internal static partial class Log
{
    [LoggerMessage(
        EventId = 2000,
        Level = LogLevel.Information,
        Message = "Connected to the {Broker} as '{ClientId}'"
    )]
    public static partial void BrokerConnected(this ILogger logger, string broker, string clientId);

    [LoggerMessage(
        EventId = 2001,
        Level = LogLevel.Warning,
        Message = "The {Broker} {Trouble}. Next try in {RetryDelayMs:F0} ms, and so on until it answers; events wait meanwhile"
    )]
    public static partial void BrokerConnectFailed(
        this ILogger logger,
        string broker,
        string trouble,
        double retryDelayMs
    );

    [LoggerMessage(
        EventId = 2002,
        Level = LogLevel.Debug,
        Message = "The {Broker} {Trouble}. Next try in {RetryDelayMs:F0} ms"
    )]
    public static partial void BrokerStillFails(
        this ILogger logger,
        string broker,
        string trouble,
        double retryDelayMs
    );

    [LoggerMessage(
        EventId = 2003,
        Level = LogLevel.Warning,
        Message = "Lost the {Broker}: it {Trouble}. Connecting again; events wait meanwhile"
    )]
    public static partial void BrokerLost(this ILogger logger, string broker, string trouble);

    [LoggerMessage(
        EventId = 2004,
        Level = LogLevel.Information,
        Message = "Certificate, key, authority or password of the {Broker} has been renewed: connecting anew"
    )]
    public static partial void FilesRenewed(this ILogger logger, string broker);

    [LoggerMessage(
        EventId = 2005,
        Level = LogLevel.Warning,
        Message = "The {Broker} {Trouble}. That file is new; the connection made with the old one goes on for as long as it lasts"
    )]
    public static partial void RenewalUnusable(this ILogger logger, string broker, string trouble);

    [LoggerMessage(
        EventId = 2010,
        Level = LogLevel.Error,
        Message = "The {Broker} does not let '{User}' publish to {Topic}; allow it in the broker's access list"
    )]
    public static partial void PublishForbidden(
        this ILogger logger,
        string broker,
        string user,
        string topic
    );

    [LoggerMessage(
        EventId = 2011,
        Level = LogLevel.Error,
        Message = "The {Broker} refuses what is published to {Topic}: {Answer}"
    )]
    public static partial void PublishRefused(
        this ILogger logger,
        string broker,
        string topic,
        string answer
    );

    [LoggerMessage(
        EventId = 2012,
        Level = LogLevel.Error,
        Message = "Event {Id} is given up, for the {Broker} does not take it: {Answer}. It is told as lost, and kept in outbox/rejected.jsonl where there is a state directory"
    )]
    public static partial void EventRejected(this ILogger logger, string broker, string id, string answer);
}
