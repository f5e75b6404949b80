using BenchmarkDotNet.Attributes;
using Dancerwatch.Bench.Speed.Baselines;
using Dancerwatch.Bench.Speed.Traces;
using Dancerwatch.Signals.Bands;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Bench.Speed.Concepts;

/// <summary>Ten readings into the windows, the percentiles of the last quarter of an hour asked once.</summary>
[MemoryDiagnoser]
public class BandsBenchmarks
{
    private const int Window = 45_000;
    private const int Readings = 10;
    private static readonly double[] s_shares = [0.01, 0.05, 0.25, 0.5, 0.75, 0.95, 0.99];

    private Trace _trace = null!;
    private SlidingBands _bands = null!;
    private readonly double[] _ring = new double[Window];
    private readonly double[] _sorted = new double[Window];
    private readonly PlainDigest[] _digests = [.. Enumerable.Range(0, 15).Select(_ => new PlainDigest())];
    private readonly PlainDigest _merged = new();
    private int _next;

    [GlobalSetup]
    public void Fill()
    {
        _trace = Trace.Record(1_000, readsAll: true);
        FillScale scale = new(_trace.Settings.Fill);
        scale.Next(_trace.Next());
        _bands = new SlidingBands(_trace.Settings.Fill, scale, _trace.Settings.PollSeconds);
        for (int i = 0; i < Window + 1_000; i++)
        {
            Reading reading = _trace.Next();
            _bands.Add(reading);
            Put(reading[Signal.Gap]);
        }
    }

    [Benchmark(Baseline = true, Description = "sort the window")]
    public double Sort()
    {
        for (int i = 0; i < Readings; i++)
            Put(_trace.Next()[Signal.Gap]);
        _ring.CopyTo(_sorted, 0);
        Array.Sort(_sorted);
        double sum = 0;
        foreach (double share in s_shares)
            sum += _sorted[(int)Math.Ceiling(share * Window) - 1];
        return sum;
    }

    [Benchmark(Description = "general sketch")]
    public double Digest()
    {
        for (int i = 0; i < Readings; i++)
            Put(_trace.Next()[Signal.Gap]);
        _merged.Clear();
        foreach (PlainDigest digest in _digests)
            digest.AddTo(_merged);
        double sum = 0;
        foreach (double share in s_shares)
            sum += _merged.Percentile(share);
        return sum;
    }

    [Benchmark(Description = "ours")]
    public double Ours()
    {
        for (int i = 0; i < Readings; i++)
            _bands.Add(_trace.Next());
        return _bands.FifteenMinutes.P95;
    }

    private void Put(double gap)
    {
        _ring[_next % Window] = gap;
        PlainDigest digest = _digests[_next / 3_000 % _digests.Length];
        if (_next % 3_000 == 0)
            digest.Clear();
        digest.Add(gap);
        _next++;
    }
}
