namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>What became of what the node said and heard, since the start. Any thread.</summary>
internal sealed class NodeCounters : IPublishObserver
{
    private int _connected;
    private long _messages;
    private long _events;
    private long _births;
    private long _notTaken;
    private long _rebirthsRefused;
    private long _commandsIgnored;

    public bool IsConnected => Volatile.Read(ref _connected) == 1;

    /// <summary>Messages sent, births and deaths among them.</summary>
    public long Messages => Interlocked.Read(ref _messages);

    /// <summary>Events sent that the broker has read.</summary>
    public long Events => Interlocked.Read(ref _events);

    /// <summary>Births of the node.</summary>
    public long Births => Interlocked.Read(ref _births);

    /// <summary>Messages longer than the broker takes.</summary>
    public long NotTaken => Interlocked.Read(ref _notTaken);

    /// <summary>Requests for births beyond what is allowed, which got none of their own.</summary>
    public long RebirthsRefused => Interlocked.Read(ref _rebirthsRefused);

    /// <summary>Commands we do not have, and what was no command at all.</summary>
    public long CommandsIgnored => Interlocked.Read(ref _commandsIgnored);

    public void BrokerConnected(bool connected) => Volatile.Write(ref _connected, connected ? 1 : 0);

    public void EventPublished(string id, EventTimes? times) => Interlocked.Increment(ref _events);

    public void StatesPublished(int count) => Interlocked.Add(ref _messages, count);

    public void PublishRefused() => Interlocked.Increment(ref _notTaken);

    public void Born() => Interlocked.Increment(ref _births);

    public void RebirthRefused() => Interlocked.Increment(ref _rebirthsRefused);

    public void CommandIgnored() => Interlocked.Increment(ref _commandsIgnored);
}
