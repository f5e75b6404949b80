using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Watching;

/// <summary>
/// The last warnings that are over, for a person who comes to a machine that has just tripped: a trip clears them all. Bounded;
/// works only where a condition changes.
/// </summary>
public sealed class PastWarnings
{
    /// <summary>Most that are kept.</summary>
    public const int Most = 8;

    private readonly Lock _gate = new();
    private readonly Dictionary<Condition, ConditionTransition> _open = [];
    private readonly Queue<PastWarning> _over = new(Most);

    /// <summary>Latest first.</summary>
    public IReadOnlyList<PastWarning> Rows()
    {
        lock (_gate)
            return [.. _over.Reverse()];
    }

    public void Note(MachineEvent raised)
    {
        ArgumentNullException.ThrowIfNull(raised);
        ConditionTransition told = raised.Transition;
        lock (_gate)
        {
            ConditionTransition? before = _open.GetValueOrDefault(told.Condition);
            if (told.State != ConditionState.Cleared)
            {
                _open[told.Condition] = before is null
                    ? told
                    : told with
                    {
                        Priority = (Priority)Math.Max((int)before.Priority, (int)told.Priority),
                    };
                return;
            }
            _open.Remove(told.Condition);
            if (_over.Count == Most)
                _over.Dequeue();
            // What clears a warning is not what it was raised for.
            _over.Enqueue(new PastWarning(raised.OnsetMilliseconds, raised.Milliseconds, before ?? told));
        }
    }
}

/// <summary>A warning that is over.</summary>
/// <param name="SinceMilliseconds">When it was raised, ms since 1970-01-01 UTC.</param>
/// <param name="ClearedMilliseconds">When it was cleared.</param>
/// <param name="Last">What was told of it last before, with the highest priority it had.</param>
public readonly record struct PastWarning(
    long SinceMilliseconds,
    long ClearedMilliseconds,
    ConditionTransition Last
);
