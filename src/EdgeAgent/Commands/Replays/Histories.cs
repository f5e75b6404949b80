using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Recording;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>What a history is opened as: a CSV trace as one part, a recording as one part a machine, which can be read side by side.</summary>
internal sealed class Histories : IDisposable
{
    private readonly List<string> _findings = [];

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
            Parts = [new CsvHistory(path, machines, others, period)];
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
    public IEnumerable<string> Findings => _findings.Concat(Parts.SelectMany(part => part.Findings));

    /// <summary>Does something with each part, on all cores.</summary>
    /// <param name="work">Told the part and its place.</param>
    public Task ForEachAsync(Action<IHistory, int> work, CancellationToken cancellation) =>
        Parallel.ForEachAsync(
            Enumerable.Range(0, Parts.Count),
            new ParallelOptions
            {
                CancellationToken = cancellation,
                MaxDegreeOfParallelism = Environment.ProcessorCount,
            },
            (place, _) =>
            {
                work(Parts[place], place);
                return ValueTask.CompletedTask;
            }
        );

    public void Dispose()
    {
        foreach (IHistory part in Parts)
            part.Dispose();
    }
}
