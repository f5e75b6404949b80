using System.Globalization;

namespace Dancerwatch.Scale;

/// <summary>The daemon's configuration for a virtual plant: every signal, every 20 ms, states every second, recordings on.</summary>
internal static class PlantConfiguration
{
    private static readonly (string Signal, string Tag, string Type)[] s_signals =
    [
        ("gap", "DancerGap", "INT"),
        ("unwindSpeed", "UnwindSpeed", "REAL"),
        ("unwindCommand", "UnwindCommand", "REAL"),
        ("lineSpeed", "LineSpeed", "REAL"),
        ("cycleRate", "CycleRate", "REAL"),
        ("running", "Running", "BOOL"),
        ("targetFill", "TargetFill", "REAL"),
        ("gapAtFull", "GapAtFull", "INT"),
        ("gapAtEmpty", "GapAtEmpty", "INT"),
        ("fullSideTrip", "FullSideTrip", "BOOL"),
        ("emptySideTrip", "EmptySideTrip", "BOOL"),
        ("brakeOn", "BrakeOn", "BOOL"),
        ("rollDiameter", "RollDiameter", "REAL"),
        ("edgePosition", "EdgePosition", "REAL"),
        ("product", "Product", "DINT"),
    ];

    public static int Signals => s_signals.Length;

    public static string Text(VirtualPlant plant, int machines)
    {
        string signals = string.Join(
            ", ",
            s_signals.Select(s =>
                $"\"{s.Signal}\": {{ \"tag\": \"Tea{{number}}.{s.Tag}\", \"type\": \"{s.Type}\" }}"
            )
        );
        string controllers = string.Join(
            ",\n    ",
            plant.Controllers.Select(
                (port, i) => Line($"{{ \"name\": \"c{i}\", \"host\": \"127.0.0.1\", \"port\": {port} }}")
            )
        );
        string all = string.Join(
            ",\n    ",
            Enumerable
                .Range(0, machines)
                .Select(i =>
                    Line(
                        $"{{ \"name\": \"tea-{i + 1}\", \"template\": \"tea\", \"controller\": \"c{i / Sizes.MachinesPerController}\" }}"
                    )
                )
        );
        return $$"""
            {
              "site": "leafside", "area": "tea-works",
              "stateDirectory": "state",
              "recordings": { "leaveFreeMegabytes": 0 },
              "mqtt": { "host": "127.0.0.1", "port": {{plant.BrokerPort}} },
              "controllers": [
                {{controllers}}
              ],
              "templates": { "tea": {
                "line": "line-1",
                "signals": { {{signals}} },
                "dancer": { "gapAtEmptyCounts": 600, "gapAtFullCounts": 3500, "storageMillimeters": 1500 }
              } },
              "machines": [
                {{all}}
              ]
            }
            """;
    }

    private static string Line(FormattableString line) => line.ToString(CultureInfo.InvariantCulture);
}
