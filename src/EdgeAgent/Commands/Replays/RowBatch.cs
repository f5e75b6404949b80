using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>Some rows of one machine of a trace, one after the other. Reused.</summary>
internal sealed class RowBatch
{
    /// <summary>76 kB: what goes to and fro between two cores fits their nearer caches.</summary>
    private const int Capacity = 512;

    private readonly Reading[] _readings = new Reading[Capacity];
    private readonly long[] _numbers = new long[Capacity];

    public int Count { get; private set; }

    public bool IsFull => Count == Capacity;

    public ref readonly Reading Reading(int place) => ref _readings[place];

    /// <summary>Number of a row among those of all machines.</summary>
    public long Number(int place) => _numbers[place];

    public void Add(in Reading reading, long number)
    {
        _readings[Count] = reading;
        _numbers[Count++] = number;
    }

    public void Clear() => Count = 0;
}
