using System.Buffers;
using Dancerwatch.Signals.FilmPath;
using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Tests.FilmPath;

public sealed class EvenGridTests
{
    private readonly EvenGrid _grid = new();
    private readonly List<GridPoint> _points = [];
    private int _breaks;

    private void Add(double seconds, double fill, double edge = double.NaN)
    {
        _points.AddRange(_grid.Add(seconds, fill, edge, out bool isBroken));
        _breaks += isBroken ? 1 : 0;
    }

    [Fact]
    public void A_point_is_the_mean_of_the_readings_of_an_eighth_of_a_second()
    {
        Add(0.00, 10, 1);
        Add(0.05, 20, double.NaN);
        Add(0.10, 60, 2);
        Add(0.13, 0, 0);

        Assert.Equal([new GridPoint(30, 1.5)], _points);
    }

    [Fact]
    public void Jitter_and_lost_reads_move_a_slow_series_by_little()
    {
        Random random = new(1);
        for (double t = 0; t < 60; t += 0.02)
        {
            if (random.NextDouble() > 0.02)
                Add(
                    t + 0.004 * random.NextDouble(),
                    10 * Math.Sin(2 * Math.PI * 0.1 * (t + 0.002)),
                    random.NextDouble()
                );
        }
        Assert.Equal(479, _points.Count);
        for (int i = 0; i < _points.Count; i++)
        {
            double middle = (i + 0.5) * EvenGrid.StepSeconds;
            Assert.Equal(10 * Math.Sin(2 * Math.PI * 0.1 * middle), _points[i].Fill, tolerance: 0.15);
        }
    }

    [Fact]
    public void A_short_hole_is_bridged_by_a_straight_line()
    {
        Add(0.05, 10, 0);
        Add(0.05 + 4 * EvenGrid.StepSeconds, 50, 4);
        Add(0.05 + 5 * EvenGrid.StepSeconds, 0, 0);

        Assert.Equal([10, 20, 30, 40, 50], _points.Select(p => p.Fill));
        Assert.Equal([0, 1, 2, 3, 4], _points.Select(p => p.Edge));
        Assert.Equal(1, _breaks); // the first point follows on nothing
    }

    [Fact]
    public void A_hole_of_more_than_half_a_second_breaks_the_series()
    {
        Add(0.05, 10);
        Add(0.05 + 6 * EvenGrid.StepSeconds, 50);
        Add(0.05 + 7 * EvenGrid.StepSeconds, 0);

        Assert.Equal([10, 50], _points.Select(p => p.Fill));
        Assert.Equal(2, _breaks);
    }

    [Theory, InlineData(0.0), InlineData(0.01), InlineData(0.06), InlineData(0.07), InlineData(0.124)]
    public void Restored_on_a_clock_that_is_apart_by_any_part_of_a_step_it_goes_on(double shift)
    {
        for (int i = 0; i < 20; i++)
            Add(0.1 * i, 50);
        ArrayBufferWriter<byte> saved = new();
        _grid.Keep(new Ledger(saved));
        EvenGrid restored = new();
        restored.Keep(new Ledger(saved.WrittenMemory, (long)(shift * TimeSpan.TicksPerSecond)));

        int points = 0;
        for (int i = 20; i < 40; i++)
            points += restored.Add((0.1 * i) + shift, 50, double.NaN, out bool _).Length;

        Assert.InRange(points, 15, 17);
    }
}
