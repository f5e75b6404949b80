using BenchmarkDotNet.Attributes;
using Dancerwatch.Signals.Forecast;

namespace Dancerwatch.Bench.Speed.Concepts;

/// <summary>One point into the robust trend and its line; the baseline sorts all slopes between 24 points anew.</summary>
[MemoryDiagnoser]
public class ForecastBenchmarks
{
    private const int Points = 24;

    private readonly RobustTrend _trend = new(Points);
    private readonly Random _random = new(1);
    private readonly double[] _values = new double[Points];
    private readonly double[] _slopes = new double[Points * (Points - 1) / 2];
    private int _next;

    [GlobalSetup]
    public void Fill()
    {
        for (int i = 0; i < 2 * Points; i++)
            Ours();
    }

    [Benchmark(Baseline = true, Description = "sort the slopes")]
    public double Sort()
    {
        _values[_next++ % Points] = _random.NextDouble();
        int count = 0;
        for (int i = 0; i < Points; i++)
        for (int j = i + 1; j < Points; j++)
            _slopes[count++] = (_values[(_next + j) % Points] - _values[(_next + i) % Points]) / (j - i);
        Array.Sort(_slopes);
        return _slopes[count / 2];
    }

    [Benchmark(Description = "ours, with spread and correlation")]
    public double Ours()
    {
        _trend.Add(_next++, _random.NextDouble());
        return _trend.Fit().RatePerSecond;
    }
}
