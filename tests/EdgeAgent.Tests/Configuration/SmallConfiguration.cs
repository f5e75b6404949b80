using System.Text;
using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EdgeAgent.Tests.Configuration;

/// <summary>A small valid configuration that tests spoil one piece at a time.</summary>
internal static class SmallConfiguration
{
    public const string Text = """
        {
          "site": "leafside",
          "area": "tea-hall",
          "mqtt": { "host": "192.0.2.5", "port": 1883, "tls": {} },
          "telemetry": { "otlpEndpoint": "http://192.0.2.6:4317" },
          "controllers": [{ "name": "packing-a", "host": "192.0.2.10", "pollMilliseconds": 20 }],
          "machines": [
            {
              "name": "tea-1",
              "line": "line-1",
              "controller": "packing-a",
              "signals": {
                "gap": { "tag": "Tea1.DancerGap", "type": "INT" },
                "unwindSpeed": { "tag": "Tea1.UnwindSpeed", "type": "REAL", "scale": 0.06 },
              },
              "dancer": { "gapAtEmptyCounts": 600, "gapAtFullCounts": 3500, "camPercent": [[0, 0], [100, 100]] },
              "roll": { "coreDiameterMillimeters": 76 },
              "warnings": { "margin-low": { "enabled": true } },
            },
          ],
        }
        """;

    /// <summary>The text with one piece replaced by another.</summary>
    public static string With(string piece, string replacement)
    {
        Assert.Contains(piece, Text, StringComparison.Ordinal);
        return Text.Replace(piece, replacement, StringComparison.Ordinal);
    }

    public static SettingsResult Parse(string text) =>
        SettingsFile.Parse(Encoding.UTF8.GetBytes(text), "/etc/tea");
}
