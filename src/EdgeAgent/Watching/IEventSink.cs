namespace Dancerwatch.EdgeAgent.Watching;

/// <summary>Takes what the watches raise: the outbox, or the file of a replay.</summary>
public interface IEventSink
{
    /// <summary>Called on the poll loop, from several controllers at once; must be quick and must not wait.</summary>
    void Raise(MachineEvent raised);
}
