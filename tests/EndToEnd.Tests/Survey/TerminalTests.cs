using System.Net;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.EdgeAgent.Survey;
using Dancerwatch.VirtualMachine.FilmPath;
using Dancerwatch.VirtualMachine.Hall;

namespace Dancerwatch.EndToEnd.Tests.Survey;

/// <summary>The command itself, as a process of its own in real time, typed to by a person who leaves and is killed.</summary>
public sealed class TerminalTests
{
    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;

    [Fact]
    public async Task A_person_measures_leaves_comes_back_and_is_killed_and_nothing_measured_is_lost()
    {
        using TemporaryFolder folder = new();
        PackingHall hall = new([new("tea-1", "Tea1", new MachineParameters(), [])], TimeProvider.System);
        hall.MachineAt(0).Stop();
        hall.Controller.Start(new IPEndPoint(IPAddress.Loopback, 0));
        hall.MachineAt(0).HoldDancer(100);
        using CancellationTokenSource close = CancellationTokenSource.CreateLinkedTokenSource(s_end);
        Task running = hall.RunAsync(close.Token);
        await File.WriteAllTextAsync(
            folder.PathOf("hall.jsonc"),
            Configuration(hall.Controller.EndPoint.Port),
            s_end
        );
        string record = folder.PathOf("found.json");

        await using (ToolProcess first = Take(folder, record))
        {
            await first.LineAsync(line => line.StartsWith("Type yes", StringComparison.Ordinal));
            await first.TypeAsync("yes");
            await first.LineAsync(line => line.Contains("1. Held at full", StringComparison.Ordinal));
            await first.TypeAsync("");
            await first.LineAsync(line => line.Contains("Taken: gap 3", StringComparison.Ordinal));
            await first.TypeAsync("q");
            await first.LinesToEndAsync(s_end);
            Assert.Equal(ExitCodes.Interrupted, first.ExitCode);
        }
        byte[] kept = await File.ReadAllBytesAsync(record, s_end);
        Assert.InRange(RecordFile.Load(record).Measures.Full!.Gap.Value, 3498, 3502);

        await using (ToolProcess second = Take(folder, record))
        {
            await second.LineAsync(line =>
                line.Contains("Measured already: Held at full.", StringComparison.Ordinal)
            );
            await second.TypeAsync("yes");
            await second.LineAsync(line => line.Contains("2. Held half way", StringComparison.Ordinal));
            await second.TypeAsync("");
            await second.EndAsync(s_end, "KILL");
        }
        Assert.Equal(kept, await File.ReadAllBytesAsync(record, s_end));

        await close.CancelAsync();
        await running;
        await hall.Controller.StopAsync();
    }

    private static ToolProcess Take(TemporaryFolder folder, string record) =>
        new(
            "dotnet",
            Path.Combine(AppContext.BaseDirectory, "dancerwatch.dll"),
            "survey",
            "take",
            "--config",
            folder.PathOf("hall.jsonc"),
            "--machine",
            "tea-1",
            "--record",
            record
        );

    private static string Configuration(int port) =>
        $$"""
            {
              "site": "leafside",
              "area": "tea-hall",
              "controllers": [{ "name": "packing-a", "host": "127.0.0.1", "port": {{port}} }],
              "machines": [{
                "name": "tea-1", "line": "line-1", "controller": "packing-a",
                "signals": {
                  "gap": { "tag": "Tea1.DancerGap", "type": "INT" },
                  "unwindSpeed": { "tag": "Tea1.UnwindSpeed", "type": "REAL" }
                },
                "dancer": { "gapAtEmptyCounts": 600, "gapAtFullCounts": 3500 }
              }]
            }
            """;
}
