using Dancerwatch.EdgeAgent.Watching;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>Holds the events of one part of a history until those of the others are known.</summary>
internal sealed class EventList : IEventSink
{
    private readonly List<MachineEvent> _events = [];

    public void Raise(MachineEvent raised) => _events.Add(raised);

    /// <summary>
    /// Hands on the events of all lists in the order of their times; of one time, in the order of the lists. The order within
    /// a list stays, also where the wall clock was set back.
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
                        first < 0
                        || lists[i]._events[next[i]].Milliseconds
                            < lists[first]._events[next[first]].Milliseconds
                    )
                )
                    first = i;
            }
            if (first < 0)
                return;
            into.Raise(lists[first]._events[next[first]++]);
        }
    }
}
