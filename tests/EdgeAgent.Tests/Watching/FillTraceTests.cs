using Dancerwatch.EdgeAgent.Watching;

namespace Dancerwatch.EdgeAgent.Tests.Watching;

public sealed class FillTraceTests
{
    private readonly long[] _ticks = new long[FillTrace.Most];
    private readonly float[] _percent = new float[FillTrace.Most];

    [Fact]
    public void What_came_since_is_read_once_and_in_order()
    {
        FillTrace trace = new();
        long next = 0;
        Add(trace, from: 0, count: 300);
        Assert.Equal(300, trace.Read(ref next, _ticks, _percent));
        Add(trace, from: 300, count: 5);

        Assert.Equal(5, trace.Read(ref next, _ticks, _percent));
        Assert.Equal([300f, 301f, 302f, 303f, 304f], _percent[..5]);
        Assert.Equal(0, trace.Read(ref next, _ticks, _percent));
    }

    [Fact]
    public void The_oldest_go_where_there_is_no_room()
    {
        FillTrace trace = new();
        long next = 0;
        Add(trace, from: 0, count: FillTrace.Most + 100);

        Assert.Equal(FillTrace.Most, trace.Read(ref next, _ticks, _percent));
        Assert.Equal((100f, FillTrace.Most + 99f), (_percent[0], _percent[^1]));
    }

    [Fact]
    public void Readings_that_come_faster_are_thinned_to_25_a_second()
    {
        FillTrace trace = new();
        long next = 0;
        for (int i = 0; i < 500; i++)
            trace.Add(i * 20 * TimeSpan.TicksPerMillisecond, i);

        Assert.Equal(250, trace.Read(ref next, _ticks, _percent));
    }

    [Fact]
    public void Adding_allocates_nothing()
    {
        FillTrace trace = new();
        Add(trace, from: 0, count: 10);

        Assert.Equal(0, Allocated.Bytes(round => Add(trace, from: 10 + (round * 10_000), count: 10_000)));
    }

    private static void Add(FillTrace trace, int from, int count)
    {
        for (int i = from; i < from + count; i++)
            trace.Add(i * 40 * TimeSpan.TicksPerMillisecond, i);
    }
}
