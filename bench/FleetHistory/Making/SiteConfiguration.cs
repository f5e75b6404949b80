using System.Globalization;
using Dancerwatch.Signals;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.FleetHistory.Making;

/// <summary>The configuration of a site's daemon: what it was told of its machines.</summary>
internal static class SiteConfiguration
{
    public static string Text(string site, IReadOnlyList<PlannedMachine> machines, double pollSeconds) =>
        string.Create(
            CultureInfo.InvariantCulture,
            $$"""
            {
              "site": "{{site}}",
              "area": "{{PlannedMachine.Area}}",
              "controllers": [{ "name": "packing-a", "host": "192.0.2.10", "pollMilliseconds": {{(int)
                Math.Round(pollSeconds * 1000)}} }],
              "templates": { "tea": { "controller": "packing-a", "signals": { {{Signals()}} } } },
              "machines": [
            {{string.Join(",\n", machines.Select(Machine))}}
              ]
            }
            """
        );

    private static string Signals() =>
        string.Join(
            ", ",
            Readings.Signals.Select(signal =>
                $$"""
                    "{{signal.Code()}}": { "tag": "{name}.{{signal.Code()}}", "type": "REAL" }
                    """.Replace("{name}", "Tea{number}", StringComparison.Ordinal)
            )
        );

    private static string Machine(PlannedMachine machine)
    {
        MachineParameters told = machine.Configured;
        return string.Create(
            CultureInfo.InvariantCulture,
            $$"""
                { "name": "{{machine.Name}}", "line": "{{machine.Line}}", "template": "tea",
                  "dancer": { "gapAtEmptyCounts": {{told.GapAtEmptyCounts}}, "gapAtFullCounts": {{told.GapAtFullCounts}},
                    "targetFillPercent": {{told.TargetFillPercent}}, "overtravelPercent": {{told.OvertravelPercent}},
                    "tripHoldSeconds": {{told.TripHoldSeconds}}, "storageMillimeters": {{told.StorageMillimeters}} },
                  "roll": { "coreDiameterMillimeters": {{told.CoreDiameterMillimeters}},
                    "filmThicknessMicrometers": {{told.FilmThicknessMicrometers}} } }
            """
        );
    }
}
