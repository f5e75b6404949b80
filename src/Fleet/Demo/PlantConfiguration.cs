using System.Globalization;
using System.Net;

namespace Dancerwatch.Fleet.Demo;

/// <summary>The configuration of a virtual plant: what every host of its fleet is given.</summary>
internal static class PlantConfiguration
{
    /// <param name="machines">How many.</param>
    /// <param name="address">Of the plant's controllers.</param>
    /// <param name="firstPort">Of the first of them.</param>
    /// <param name="broker">Where MQTT goes.</param>
    public static string Of(
        int machines,
        IPAddress address,
        int firstPort,
        IPEndPoint broker,
        int pollMilliseconds
    ) =>
        string.Create(
            CultureInfo.InvariantCulture,
            $$"""
            {
              "site": "leafside",
              "area": "tea-hall",
              "mqtt": { "host": "{{broker.Address}}", "port": {{broker.Port}}, "stateIntervalSeconds": 5 },
              "recordings": { "enabled": false },
              "controllers": [
                {{Each(
                machines,
                number =>
                    $$"""{ "name": "packing-{{number}}", "host": "{{address}}", "port": {{firstPort + number - 1}}, "pollMilliseconds": {{pollMilliseconds}} }"""
            )}}
              ],
              "machines": [
                {{Each(machines, Machine)}}
              ]
            }

            """
        );

    private static string Each(int machines, Func<int, string> one) =>
        string.Join(",\n    ", Enumerable.Range(1, machines).Select(one));

    private static string Machine(int number) =>
        $$"""
            {
                  "name": "tea-{{number}}",
                  "line": "line-1",
                  "controller": "packing-{{number}}",
                  "signals": {
                    "gap": { "tag": "Tea.DancerGap", "type": "REAL" },
                    "unwindSpeed": { "tag": "Tea.UnwindSpeed", "type": "REAL" },
                    "running": { "tag": "Tea.Running", "type": "BOOL" }
                  },
                  "dancer": { "gapAtEmptyCounts": 600, "gapAtFullCounts": 3500 },
                  "warnings": {
                    "data-lost": { "onDelaySeconds": 0, "offDelaySeconds": 0, "limitSeconds": 0.3, "deadbandSeconds": 0 }
                  }
                }
            """;
}
