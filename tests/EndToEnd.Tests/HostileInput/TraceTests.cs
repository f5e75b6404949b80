using System.Globalization;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.EdgeAgent.Tests.Commands.Replays;
using Dancerwatch.EndToEnd.Tests.Outbox;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EndToEnd.Tests.HostileInput;

[Collection(nameof(Hostile))]
public sealed class TraceTests
{
    [Fact]
    public void Every_bent_trace_is_refused_in_words_or_read_and_assessed()
    {
        AgentSettings hall = SettingsFile.Load(RepositoryFiles.PathOf("config", "tea-hall.jsonc")).Settings!;
        IReadOnlyList<WatchedMachineSettings> machines = [.. hall.Machines.Take(2)];
        string[] corpus = [Recorded(machines), Counted];
        int traces = Torture.Rounds(2_000, 100_000);
        int seed = Torture.Chance().Next();
        Random random = new(seed);
        Tally tally = new("traces");
        MachineAssessor[] assessors = [.. machines.Select(machine => new MachineAssessor(machine.Machine))];
        long rows = 0;
        while (tally.Count < traces)
        {
            if (tally.Count > traces / 5)
                tally.IsWarm();
            byte[] bent = BentText.Of(corpus, random);
            tally.Begin();
            try
            {
                using CsvTraceReader reader = new(new MemoryStream(bent), machines, ["tea-3"]);
                while (reader.TryRead(out TraceRow row))
                {
                    rows++;
                    // One that goes on, whatever a trace did to it: what it says must stay what can be said.
                    Assessment a = assessors[row.Machine].Process(row.Reading);
                    Assert.InRange(a.Transitions.Count, 0, 16);
                }
                Assert.All(reader.Findings.All, found => Assert.InRange(found.ToString().Length, 5, 1_000));
                tally.End("read");
            }
            catch (TraceException refusal)
            {
                Assert.InRange(refusal.Message.Length, 10, 30_000);
                tally.End("refused");
            }
            if (tally.Count % 100 == 0)
                assessors = [.. machines.Select(machine => new MachineAssessor(machine.Machine))];
        }
        tally.Close($"{corpus.Length} traces, {rows} rows read, seed {seed}");
        Assert.True(rows > traces, "hardly a row was read");
    }

    /// <summary>Two machines, as the daemon records them.</summary>
    private static string Recorded(IReadOnlyList<WatchedMachineSettings> machines)
    {
        using StringWriter text = new(CultureInfo.InvariantCulture);
        CsvTraceWriter writer = new(text, machines);
        DateTimeOffset start = new(2026, 11, 25, 8, 30, 0, TimeSpan.Zero);
        foreach (Reading reading in SimulatedHour.Readings().Take(60))
        {
            for (int machine = 0; machine < machines.Count; machine++)
                writer.Write(machine, reading, start + TimeSpan.FromTicks(reading.Ticks));
        }
        return text.ToString();
    }

    /// <summary>As another program writes them: seconds, commas in numbers, semicolons.</summary>
    private static string Counted =>
        "time_s;machine;gap;unwindSpeed\r\n"
        + string.Concat(
            Enumerable
                .Range(0, 80)
                .Select(i =>
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"{i / 50},{2 * (i % 50):00};tea-1;{2000 + i};12,5\r\n"
                    )
                )
        );
}
