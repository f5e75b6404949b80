using System.Buffers;
using BenchmarkDotNet.Attributes;
using Dancerwatch.Bench.Speed.Traces;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Bench.Speed.Concepts;

/// <summary>What a restart must not forget, saved and restored; the baseline reads the last quarter of an hour anew.</summary>
[MemoryDiagnoser]
public class SnapshotBenchmarks
{
    private readonly ArrayBufferWriter<byte> _into = new(1 << 20);
    private Trace _trace = null!;
    private MachineAssessor _assessor = null!;
    private byte[] _saved = [];
    private Reading[] _quarter = [];

    [GlobalSetup]
    public void Fill()
    {
        _trace = Trace.Record(900, readsAll: true);
        _assessor = new MachineAssessor(_trace.Settings);
        for (int i = 0; i < 100_000; i++)
            _assessor.Process(_trace.Next());
        Save();
        _saved = _into.WrittenSpan.ToArray();
        _quarter = [.. Enumerable.Range(0, 45_000).Select(_ => _trace.Next())];
    }

    [Benchmark(Baseline = true, Description = "a quarter of an hour read anew")]
    public Assessment ReadAnew()
    {
        MachineAssessor assessor = new(_trace.Settings);
        for (int i = 1; i < _quarter.Length; i++)
            assessor.Process(_quarter[i]);
        return assessor.Process(_quarter[0]);
    }

    [Benchmark(Description = "restore")]
    public MachineAssessor Restore() =>
        MachineAssessor.Restore(
            _trace.Settings,
            _saved,
            _assessor.LatestTicks!.Value + 1,
            TimeSpan.FromSeconds(1)
        );

    [Benchmark(Description = "save")]
    public int Save()
    {
        _into.ResetWrittenCount();
        _assessor.Save(_into);
        return _into.WrittenCount;
    }
}
