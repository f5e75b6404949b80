using Dancerwatch.EdgeAgent.Watching;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>Holds the events of one machine's history until those of the others are known.</summary>
/// <param name="orderOf">Where an event that is raised belongs among those of the others: the least comes first.</param>
internal sealed class EventList(Func<MachineEvent, long> orderOf) : IEventSink
{
    private readonly List<(long Order, MachineEvent Raised)> _events = [];

    public void Raise(MachineEvent raised) => _events.Add((orderOf(raised), raised));

    /// <summary>
    /// Hands on the events of all lists, the least first; of equals, in the order of the
    /// lists. The order within a list stays, also where the wall clock was set back.
    /// </summary>
    public static void Merge(IReadOnlyList<EventList> lists, IEventSink into)
    {
        int[] next = new int[lists.Count];
        while (true)
        {
            int first = -1;
            for (int i = 0; i < lists.Count; i++)
            {
                if (
                    next[i] < lists[i]._events.Count
                    && (
                        first < 0 || lists[i]._events[next[i]].Order < lists[first]._events[next[first]].Order
                    )
                )
                    first = i;
            }
            if (first < 0)
                return;
            into.Raise(lists[first]._events[next[first]++].Raised);
        }
    }
}
