using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Commands.Checks;

/// <summary>What a controller and its machines answered.</summary>
/// <param name="Reads">Reads that brought something.</param>
/// <param name="Failed">Reads that brought nothing at all.</param>
/// <param name="Trouble">One sentence on the last of these; null where there was none.</param>
/// <param name="Slowest">The slowest read but the first, which connects as well; from request to answer.</param>
/// <param name="Machines">Empty where no read brought anything.</param>
internal sealed record ControllerCheck(
    int Reads,
    int Failed,
    string? Trouble,
    TimeSpan Slowest,
    IReadOnlyList<MachineCheck> Machines
);

/// <summary>What one machine's tags hold, and what is odd about it.</summary>
/// <param name="Tags">Its tags, in the order of the configuration.</param>
/// <param name="Last">The last reading.</param>
/// <param name="Fill">Fill by the last reading.</param>
/// <param name="Findings">Sentences, each with what to look at; empty where all is well.</param>
internal sealed record MachineCheck(
    WatchedMachineSettings Machine,
    IReadOnlyList<TagCheck> Tags,
    Reading Last,
    FillEstimate Fill,
    IReadOnlyList<string> Findings
);

/// <summary>One tag: what the controller holds; text for a STRING, null where it was not read.</summary>
internal sealed record TagCheck(SignalSource Source, string? Held);

/// <summary>Reads one controller for a short while, at its configured pace, and looks at what comes. Reads only.</summary>
internal sealed class LiveCheck(
    ControllerSettings controller,
    IReadOnlyList<WatchedMachineSettings> machines,
    ITagReader reader,
    MonotonicClock clock
)
{
    private readonly TagSnapshot _latest = new(reader.Tags.Count);

    /// <summary>Reads for <paramref name="duration"/>, then judges.</summary>
    public async Task<ControllerCheck> RunAsync(TimeSpan duration, CancellationToken cancellation)
    {
        List<MachineSeries> series = [.. machines.Select(machine => new MachineSeries(machine, reader.Tags))];
        TagSnapshot snapshot = new(reader.Tags.Count);
        TimeSpan pause = TimeSpan.FromMilliseconds(controller.PollMilliseconds);
        long end = clock.Ticks + duration.Ticks;
        int reads = 0;
        int failed = 0;
        string trouble = "nothing was answered";
        TimeSpan slowest = TimeSpan.Zero;
        while (true)
        {
            long start = clock.Ticks;
            await reader.ReadAsync(snapshot, cancellation);
            TimeSpan took = TimeSpan.FromTicks(clock.Ticks - start);
            if (
                reader.Trouble is null
                && Array.Exists(snapshot.Statuses, status => status != TagStatus.NotRead)
            )
            {
                _latest.CopyFrom(snapshot);
                slowest = reads > 0 && took > slowest ? took : slowest;
                reads++;
                series.ForEach(machine => machine.Take(snapshot));
            }
            else
            {
                failed++;
                trouble = reader.Trouble ?? trouble;
            }
            if (clock.Ticks + pause.Ticks > end)
                break;
            await Task.Delay(pause, clock.Time, cancellation);
        }

        return new ControllerCheck(
            reads,
            failed,
            failed > 0 ? trouble : null,
            slowest,
            reads > 0 ? [.. series.Select(Judge)] : []
        );
    }

    private MachineCheck Judge(MachineSeries series)
    {
        List<TagCheck> tags = [];
        List<string> findings = [];
        foreach (SignalSource source in series.Machine.Signals)
        {
            int place = PlaceOf(source.Tag);
            bool good = _latest.Statuses[place] == TagStatus.Good;
            tags.Add(new TagCheck(source, good ? Held(source.Tag, place) : null));
            if (!good)
                findings.Add($"{source.Signal.Code()}: {TroubleOf(place).TrimEnd('.')}.");
            else if (source.Tag.Type != TagType.String && !double.IsFinite(_latest.Numbers[place]))
                findings.Add(
                    $"{source.Signal.Code()}: tag '{source.Tag.Name}' holds {_latest.Numbers[place]}, which is no number to work with. Look at where the controller computes it."
                );
        }
        findings.AddRange(Plausibility.Findings(series));
        return new MachineCheck(series.Machine, tags, series.Last, series.Fill, findings);
    }

    private string TroubleOf(int place) =>
        reader.TagTrouble(place)
        ?? $"tag '{reader.Tags[place].Name}' was not read: {_latest.Statuses[place]}";

    private string Held(TagRequest tag, int place) =>
        tag.Type == TagType.String ? $"\"{_latest.Texts[place]}\"" : $"{_latest.Numbers[place]}";

    private int PlaceOf(TagRequest tag)
    {
        for (int i = 0; i < reader.Tags.Count; i++)
        {
            if (reader.Tags[i] == tag)
                return i;
        }
        throw new ArgumentException($"The reader does not read '{tag.Name}'.", nameof(tag));
    }
}
