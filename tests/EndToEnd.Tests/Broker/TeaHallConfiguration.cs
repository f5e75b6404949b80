using System.Globalization;
using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EndToEnd.Tests.Broker;

/// <summary>The committed configuration of the demo hall, led to another controller and another broker.</summary>
internal static class TeaHallConfiguration
{
    /// <param name="port">The controller's, on loopback.</param>
    public static string Text(int port, MqttSettings broker)
    {
        string text = File.ReadAllText(RepositoryFiles.PathOf("config", "tea-hall.jsonc"));
        text = Replace(
            text,
            "\"mqtt\": { \"host\": \"127.0.0.1\", \"port\": 1883 }",
            $$"""
            "mqtt": {
              "host": "{{broker.Host}}",
              "port": {{broker.Port}},
              "clientId": "dancerwatch-tea-hall",
              "stateIntervalSeconds": 0.2,
              "tls": {
                "caFile": "{{broker.Tls!.CaFile}}",
                "clientCertificateFile": "{{broker.Tls.ClientCertificateFile}}",
                "clientKeyFile": "{{broker.Tls.ClientKeyFile}}"
              }
            }
            """
        );
        return Replace(text, "44818", port.ToString(CultureInfo.InvariantCulture));
    }

    private static string Replace(string text, string piece, string by)
    {
        Assert.Contains(piece, text, StringComparison.Ordinal);
        return text.Replace(piece, by, StringComparison.Ordinal);
    }
}
