using BenchmarkDotNet.Attributes;
using Dancerwatch.Bench.Speed.Traces;
using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Readings;
using Dancerwatch.VirtualMachine.Faults;
using MathNet.Numerics.IntegralTransforms;

namespace Dancerwatch.Bench.Speed.Concepts;

/// <summary>One reading into the search for regular movements; the baseline makes one spectrum of the last 1,024 readings at each.</summary>
[MemoryDiagnoser]
public class OscillationBenchmarks
{
    private const int Window = 1_024;

    private Trace _trace = null!;
    private OscillationDetector _detector = null!;
    private readonly double[] _ring = new double[Window];
    private readonly double[] _work = new double[Window + 2];
    private int _next;

    [GlobalSetup]
    public void Fill()
    {
        _trace = Trace.Record(1_200, readsAll: true, Fault.RollEccentricity);
        _detector = new OscillationDetector(_trace.Settings.PollSeconds, storageMeters: 1.2);
        for (int i = 0; i < 55_000; i++)
            Ours();
    }

    [Benchmark(Baseline = true, Description = "FFT each reading")]
    public double EachReading()
    {
        _ring[_next++ % Window] = _trace.Next()[Signal.Gap];
        for (int i = 0; i < Window; i++)
            _work[i] = _ring[(_next + i) % Window];
        Fourier.ForwardReal(_work, Window, FourierOptions.NoScaling);
        int strongest = 2;
        double most = 0;
        for (int k = 2; k < Window; k += 2)
        {
            double power = (_work[k] * _work[k]) + (_work[k + 1] * _work[k + 1]);
            if (power > most)
                (strongest, most) = (k, power);
        }
        return strongest;
    }

    [Benchmark(Description = "ours")]
    public double Ours()
    {
        Reading reading = _trace.Next();
        return _detector
            .Next(
                (double)reading.Ticks / TimeSpan.TicksPerSecond,
                reading[Signal.Gap] / 29,
                reading[Signal.UnwindSpeed],
                reading[Signal.CycleRate] / 60,
                double.NaN
            )
            .FrequencyHz;
    }
}
