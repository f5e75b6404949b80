using Dancerwatch.EdgeAgent.Configuration;
using Microsoft.Extensions.Logging;
using MQTTnet;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>Tells of the broker in the log: each trouble when it begins, not at every attempt.</summary>
internal sealed class PublisherLog(BrokerSettings settings, IPublishObserver observer, ILogger logger)
    : IBrokerObserver
{
    private readonly string _broker = settings.Place;

    // Refusals told since the last connect.
    private readonly HashSet<(string Topic, MqttClientPublishReasonCode Answer)> _toldRefusals = [];
    private string? _toldTrouble;

    public void Connected()
    {
        _toldTrouble = null;
        lock (_toldRefusals)
            _toldRefusals.Clear();
        observer.BrokerConnected(true);
        logger.BrokerConnected(_broker, settings.ClientId);
    }

    public void ConnectFailed(string trouble, TimeSpan nextTry)
    {
        if (trouble == _toldTrouble)
            logger.BrokerStillFails(_broker, trouble, nextTry.TotalMilliseconds);
        else
            logger.BrokerConnectFailed(_broker, trouble, nextTry.TotalMilliseconds);
        _toldTrouble = trouble;
    }

    public void ConnectionLost(string trouble)
    {
        observer.BrokerConnected(false);
        logger.BrokerLost(_broker, trouble);
    }

    public void FilesRenewed()
    {
        observer.BrokerConnected(false);
        logger.FilesRenewed(_broker);
    }

    public void RenewalUnusable(string trouble) => logger.RenewalUnusable(_broker, trouble);

    public void Refused(string topic, MqttClientPublishReasonCode answer)
    {
        observer.PublishRefused();
        lock (_toldRefusals)
        {
            if (!_toldRefusals.Add((topic, answer)))
                return;
        }
        if (answer == MqttClientPublishReasonCode.NotAuthorized)
            logger.PublishForbidden(_broker, settings.UserName ?? settings.ClientId, topic);
        else
            logger.PublishRefused(_broker, topic, answer.Word());
    }

    public void EventRejected(string id, string answer) => logger.EventRejected(_broker, id, answer);
}
