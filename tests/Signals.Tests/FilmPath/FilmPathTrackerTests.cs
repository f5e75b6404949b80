using Dancerwatch.Signals.FilmPath;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Tests.FilmPath;

/// <summary>Through the whole assessor, as readings bring it.</summary>
public sealed class FilmPathTrackerTests
{
    private readonly TestFilm _film = new();
    private readonly MachineAssessor _assessor = new(TestFilm.Settings);
    private FilmPathEstimate _path;

    /// <summary>Runs for some seconds.</summary>
    /// <param name="fill">Fill without the cycle's swing, by the time since the call, s.</param>
    /// <param name="edge">Film edge, mm, likewise.</param>
    private void Run(
        double seconds,
        Func<double, double> fill,
        double running = 1,
        double unwind = 12,
        Func<double, double>? edge = null
    )
    {
        for (double t = 0; t < seconds; t += TestFilm.PollSeconds)
        {
            Reading reading = _film.Next(fill(t), unwind, running);
            SignalValues values = reading.Values;
            values[Signal.EdgePosition] = edge?.Invoke(t) ?? double.NaN;
            _path = _assessor.Process(reading with { Values = values }).FilmPath;
        }
    }

    [Fact]
    public void Before_three_minutes_of_running_nothing_is_said()
    {
        Run(170, _ => 50);

        Assert.Equal(FilmPathVerdict.NotEnoughData, _path.Verdict);
        Assert.True(double.IsNaN(_path.Score));
    }

    [Fact]
    public void A_steady_machine_sends_the_engineer_elsewhere()
    {
        Run(300, _ => 50);

        Assert.Equal(FilmPathVerdict.LookElsewhere, _path.Verdict);
        Assert.InRange(_path.Score, 0, 0.1);
        Assert.Equal(0, _path.NearEndShare);
        Assert.Equal(0, _path.ReversalsPerMinute);
        // The cycle's own: 3 % at 1 Hz is 18.8 %/s at its fastest, and close to that in 1 of 100 eighths of a second.
        Assert.InRange(_path.DancerSpeedP99, 16, 20);
    }

    [Fact]
    public void Time_near_an_end_is_counted_on_its_side()
    {
        Run(300, _ => 50);
        Run(100, _ => 4);

        Assert.Equal(0.25, _path.NearEmptyShare, tolerance: 0.02);
        Assert.Equal(0, _path.NearFullShare);
        Assert.StartsWith("Accumulator first: fill was within 10 % of empty for 2", _path.Told);
    }

    [Fact]
    public void A_stop_with_a_roll_that_runs_on_is_one_of_the_stops_with_overrun()
    {
        Run(300, _ => 50);
        Run(2, t => 50 + 15 * t, running: 0, unwind: 12);
        Run(20, _ => 80, running: 0, unwind: 0);
        Run(120, _ => 50);
        Run(20, _ => 50, running: 0, unwind: 0);

        Assert.Equal(2, _path.Stops);
        Assert.Equal(1, _path.OverrunStops);
        Assert.Equal(30, _path.LargestOverrunPercent, tolerance: 1);
        Assert.Equal(0, _path.LastOverrunPercent, tolerance: 1);
        Assert.Equal(FilmPathVerdict.AccumulatorFirst, _path.Verdict);
    }

    [Fact]
    public void A_hunting_loop_with_an_edge_that_follows_it_is_told_by_both()
    {
        Run(120, _ => 50, edge: _ => 0);
        Run(
            700,
            t => 50 + 12 * Math.Sin(2 * Math.PI * 0.08 * t),
            edge: t => 0.4 * Math.Sin(2 * Math.PI * 0.08 * t - 0.8)
        );

        Assert.Equal(0.08, _path.SwingHz, tolerance: 0.001);
        Assert.Equal(0.078125, _path.Edge.FrequencyHz); // the nearest line, 5 / 64 s
        Assert.InRange(_path.Edge.Coherence, 0.95, 1);
        Assert.True(_path.Edge.IsLed);
        Assert.Equal(FilmPathVerdict.AccumulatorFirst, _path.Verdict);
    }

    [Fact]
    public void Another_product_forgets_what_was_usual_and_keeps_what_the_film_did()
    {
        Run(300, _ => 50);
        Run(100, _ => 4);
        double before = _path.NearEmptyShare;
        SignalValues values = _film.Next(50).Values;
        values[Signal.Product] = 1;
        _assessor.Process(new Reading(_film.Next(50).Ticks, values, Quality.Good));
        values[Signal.Product] = 2;
        _assessor.Process(new Reading(_film.Next(50).Ticks, values, Quality.Good));
        Run(2, _ => 50);

        Assert.Equal(before, _path.NearEmptyShare, tolerance: 0.01);
        Assert.True(double.IsNaN(_path.LeastLackPercent));
    }

    [Fact]
    public void Following_the_film_allocates_nothing()
    {
        Reading[] readings = new Reading[20_000];
        for (int i = 0; i < readings.Length; i++)
        {
            bool stands = i % 4_000 > 3_000;
            SignalValues values = _film.Next(50 + i % 300 / 10.0, stands ? 0 : 12, stands ? 0 : 1).Values;
            values[Signal.EdgePosition] = i % 170 / 100.0;
            readings[i] = new Reading(0, values, Quality.Good);
        }
        long ticks = 0;
        long step = (long)(TestFilm.PollSeconds * TimeSpan.TicksPerSecond);
        long allocated = Allocated.Bytes(_ =>
        {
            foreach (ref readonly Reading reading in readings.AsSpan())
                _path = _assessor.Process(reading with { Ticks = ticks += step }).FilmPath;
        });

        Assert.True(_path.Edge.IsKnown);
        Assert.Equal(0, allocated);
    }
}
