using System.Globalization;
using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Bench.WarningQuality.Scenarios;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Bench.WarningQuality.History;

/// <summary>
/// Makes recordings of virtual machines, faster than real time, and a configuration that knows them: each scenario on each
/// seed is a machine of its own. For trying replay and tuning on hundreds of machine-hours.
/// </summary>
internal static class HistoryMaker
{
    public static void Make(string directory, int firstSeed, int machines, double healthySeconds)
    {
        (Scenario Scenario, int Seed)[] all =
        [
            .. from seed in Enumerable.Range(firstSeed, machines)
            from scenario in Ensemble.Faults.Concat(Ensemble.Healthy)
            select (scenario, seed),
        ];
        string[] sections = new string[all.Length];
        double[] seconds = new double[all.Length];
        EachCore.Run(
            all.Length,
            i =>
            {
                string name = Text($"tea-{i + 1}");
                MachineRun run = new(all[i].Scenario, all[i].Seed, healthySeconds);
                using RecordingWatcher recording = new(Path.Combine(directory, "recordings"), name);
                seconds[i] = run.Run([recording]).EndSeconds;
                recording.Finish();
                sections[i] = Section(name, run.Settings.Settings);
            }
        );
        File.WriteAllText(Path.Combine(directory, "history.jsonc"), Configuration(sections));
        Console.WriteLine($"{all.Length} machines, {seconds.Sum() / 3600:F1} machine-hours in {directory}");
    }

    private static string Configuration(IEnumerable<string> machines) =>
        $$"""
            {
              "site": "leafside",
              "area": "tea-hall",
              "controllers": [{ "name": "packing-a", "host": "192.0.2.10" }],
              "machines": [
            {{string.Join(",\n", machines)}}
              ]
            }
            """;

    private static string Section(string name, MachineSettings machine)
    {
        FillSettings fill = machine.Fill;
        string signals = string.Join(
            ", ",
            Enum.GetValues<Signal>()
                .Select(signal =>
                    $$"""
                        "{{signal.Code()}}": { "tag": "{{signal.Code()}}", "type": "REAL" }
                        """
                )
        );
        return Text(
            $$"""
                { "name": "{{name}}", "line": "line-1", "controller": "packing-a", "signals": { {{signals}} },
                  "dancer": { "gapAtEmptyCounts": {{fill.GapAtEmpty}}, "gapAtFullCounts": {{fill.GapAtFull}},
                    "targetFillPercent": {{fill.TargetPercent}}, "overtravelPercent": {{fill.OvertravelPercent}},
                    "tripHoldSeconds": {{fill.TripHoldSeconds}}, "storageMillimeters": {{fill.StorageMillimeters}} },
                  "roll": { "coreDiameterMillimeters": {{machine.Roll.CoreDiameterMillimeters}},
                    "filmThicknessMicrometers": {{machine.Roll.FilmThicknessMicrometers}} } }
            """
        );
    }

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
