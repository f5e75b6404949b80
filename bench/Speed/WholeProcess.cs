using System.Diagnostics;
using Dancerwatch.Bench.Speed.Traces;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.Signals;

namespace Dancerwatch.Bench.Speed;

/// <summary>The same half hour of CSV through a whole process each, from its start to its end: ours with everything, and scipy's percentiles and spectra.</summary>
internal static class WholeProcess
{
    private const int Readings = 90_000;
    private const string Python = "/usr/bin/python3";

    public static async Task RunAsync()
    {
        using TraceFiles files = new(Traces.Trace.Record(900, readsAll: true), machines: 1, Readings);
        double ours = await SecondsAsync(Environment.ProcessPath!, [.. Host(), "csv", files.Csv]);
        double scipy = await SecondsAsync(
            Python,
            [Path.Combine(AppContext.BaseDirectory, "rolling.py"), files.Csv]
        );
        Row.Print(
            "half an hour of CSV, a whole process: everything, beside percentiles and spectra by scipy",
            "",
            $"{ours:F1} s",
            double.IsNaN(scipy) ? "scipy is not here" : $"{scipy:F1} s (scipy)",
            double.IsNaN(scipy) ? "" : $"{ours / scipy:G2}"
        );
    }

    /// <summary>What the process of ours does.</summary>
    public static void Csv(string path)
    {
        using FileStream file = File.OpenRead(path);
        using CsvTraceReader reader = new(file, [TraceFiles.SettingsOf(machines: 1).Machines[0]]);
        MachineAssessor assessor = new(TraceFiles.SettingsOf(machines: 1).Machines[0].Machine);
        while (reader.TryRead(out TraceRow row))
            assessor.Process(row.Reading);
    }

    private static string[] Host() =>
        Path.GetFileNameWithoutExtension(Environment.ProcessPath) == "dotnet"
            ? [typeof(WholeProcess).Assembly.Location]
            : [];

    private static async Task<double> SecondsAsync(string program, string[] arguments)
    {
        if (!File.Exists(program))
            return double.NaN;
        long begun = TimeProvider.System.GetTimestamp();
        using Process process = Process.Start(
            new ProcessStartInfo(program, arguments)
            {
                RedirectStandardOutput = true,
                RedirectStandardError = true,
            }
        )!;
        await process.StandardOutput.ReadToEndAsync();
        await process.WaitForExitAsync();
        return process.ExitCode == 0 ? TimeProvider.System.GetElapsedTime(begun).TotalSeconds : double.NaN;
    }
}
