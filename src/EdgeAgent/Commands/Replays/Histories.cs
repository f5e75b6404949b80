using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>What a history is opened as, a CSV trace or a recording: a part for each machine, to be read side by side.</summary>
internal sealed class Histories : IDisposable
{
    private readonly List<string> _findings = [];
    private readonly CsvDecoder? _trace;

    /// <param name="path">A CSV file, or a directory of recordings.</param>
    /// <param name="machines">The machines to read.</param>
    /// <param name="all">All machines of the configuration.</param>
    /// <exception cref="IOException">It cannot be read.</exception>
    public Histories(
        string path,
        IReadOnlyList<WatchedMachineSettings> machines,
        IReadOnlyList<WatchedMachineSettings> all,
        Period period
    )
    {
        if (!Directory.Exists(path))
        {
            string[] others = [.. all.Except(machines).Select(machine => machine.Name)];
            CsvDecoder trace = _trace = new CsvDecoder(File.OpenRead(path), machines, others, period);
            Parts = [.. machines.Select((_, place) => new CsvHistory(trace, place))];
            return;
        }
        RecordingFolder folder = RecordingFolder.Open(path);
        string[] recorded = [.. folder.Machines];
        foreach (string unknown in recorded.Except(all.Select(machine => machine.Name)))
            _findings.Add($"{unknown} is recorded, but not in the configuration; it is left out");
        List<IHistory> parts = [];
        for (int i = 0; i < machines.Count; i++)
        {
            if (recorded.Contains(machines[i].Name))
                parts.Add(new RecordedHistory(folder.Read(machines[i].Name, period), i));
            else
                _findings.Add($"{machines[i].Name} is not in the recording");
        }
        Parts = parts;
    }

    public IReadOnlyList<IHistory> Parts { get; }

    public long Rows => Parts.Sum(part => part.Rows);

    public double Progress => Parts.Count == 0 ? 1 : Parts.Average(part => part.Progress);

    /// <summary>What was left out, and why.</summary>
    public IEnumerable<string> Findings =>
        [.. _findings, .. _trace?.Findings ?? [], .. Parts.SelectMany(part => part.Findings)];

    /// <summary>Reads all parts to their ends, on all cores.</summary>
    /// <param name="begin">Asked once a part, when it has a reading: what takes its readings.</param>
    /// <exception cref="IOException">A history cannot be read on; the others are left where they are.</exception>
    public Task ReadAsync(Func<IHistory, ReadingTaker> begin, CancellationToken cancellation) =>
        Parallel.ForEachAsync(
            Parts,
            new ParallelOptions
            {
                CancellationToken = cancellation,
                // Machines of one trace are read at once, for its rows come as they come.
                MaxDegreeOfParallelism = _trace is null ? Environment.ProcessorCount : Parts.Count,
            },
            async (part, stop) =>
            {
                ReadingTaker? take = null;
                while (await part.NextBatchAsync(stop))
                {
                    stop.ThrowIfCancellationRequested();
                    take ??= begin(part);
                    while (part.TryRead(out Reading reading))
                        take(reading);
                }
            }
        );

    public void Dispose()
    {
        foreach (IHistory part in Parts)
            part.Dispose();
        _trace?.Dispose();
    }
}
