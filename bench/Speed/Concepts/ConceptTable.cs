using BenchmarkDotNet.Columns;
using BenchmarkDotNet.Configs;
using BenchmarkDotNet.Jobs;
using BenchmarkDotNet.Loggers;
using BenchmarkDotNet.Reports;
using BenchmarkDotNet.Running;
using BenchmarkDotNet.Toolchains.InProcess.Emit;
using Perfolizer.Horology;

namespace Dancerwatch.Bench.Speed.Concepts;

/// <summary>Runs the benchmarks of each concept, briefly and in this process, and prints each beside its baseline.</summary>
internal static class ConceptTable
{
    private static readonly Type[] s_concepts =
    [
        typeof(BandsBenchmarks),
        typeof(OscillationBenchmarks),
        typeof(ForecastBenchmarks),
        typeof(SnapshotBenchmarks),
        typeof(HistoryBenchmarks),
    ];

    public static void Run()
    {
        ManualConfig config = ManualConfig
            .CreateEmpty()
            .AddJob(
                Job.Default.WithToolchain(InProcessEmitToolchain.Instance)
                    .WithIterationTime(TimeInterval.FromMilliseconds(150))
                    .WithWarmupCount(4)
                    .WithIterationCount(7)
            )
            .AddColumnProvider(DefaultColumnProviders.Instance)
            .AddLogger(NullLogger.Instance)
            .WithArtifactsPath(Path.Combine(Path.GetTempPath(), "dancerwatch-benchmarks"));
        foreach (Type concept in s_concepts)
            Print(BenchmarkRunner.Run(concept, config));
    }

    private static void Print(Summary summary)
    {
        BenchmarkReport baseline = summary.Reports.Single(report => summary.IsBaseline(report.BenchmarkCase));
        string concept = summary.BenchmarksCases[0].Descriptor.Type.Name.Replace("Benchmarks", "");
        double usual = baseline.ResultStatistics!.Median;
        foreach (BenchmarkReport report in summary.Reports.Where(report => report != baseline))
        {
            double median = report.ResultStatistics!.Median;
            string bytes = $"{report.GcStats.GetBytesAllocatedPerOperation(report.BenchmarkCase):N0} B";
            Row.Print(
                $"{concept}: {report.BenchmarkCase.Descriptor.WorkloadMethodDisplayInfo}".Replace("'", ""),
                "",
                $"{Time(median)}, {bytes}",
                $"{Time(usual)} ({baseline.BenchmarkCase.Descriptor.WorkloadMethodDisplayInfo.Replace("'", "")})",
                $"{median / usual:G2}"
            );
        }
    }

    private static string Time(double nanoseconds) =>
        nanoseconds switch
        {
            < 1e3 => $"{nanoseconds:F0} ns",
            < 1e6 => $"{nanoseconds / 1e3:F1} us",
            _ => $"{nanoseconds / 1e6:F1} ms",
        };
}
