using System.Net;
using MQTTnet.Server;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>A broker inside the program, on loopback only, for the demo and for tests. It trusts everyone on this computer.</summary>
public sealed class EmbeddedBroker : IAsyncDisposable
{
    private readonly MqttServer _server;

    private EmbeddedBroker(MqttServer server, int port)
    {
        _server = server;
        Port = port;
    }

    /// <summary>The TCP port it listens on, at 127.0.0.1.</summary>
    public int Port { get; }

    /// <param name="port">0 for any that is free.</param>
    /// <exception cref="System.Net.Sockets.SocketException">The port is taken.</exception>
    public static async Task<EmbeddedBroker> StartAsync(int port = 0)
    {
        MqttServerOptions options = new();
        options.DefaultEndpointOptions.IsEnabled = true;
        options.DefaultEndpointOptions.BoundInterNetworkAddress = IPAddress.Loopback;
        options.DefaultEndpointOptions.BoundInterNetworkV6Address = IPAddress.None;
        options.DefaultEndpointOptions.Port = port;
        MqttServer server = new MqttServerFactory().CreateMqttServer(options);
        server.ValidatingConnectionAsync += NameAsync;
        await server.StartAsync();
        // The listener writes the port it was given back into its options.
        return new EmbeddedBroker(server, options.DefaultEndpointOptions.Port);
    }

    internal MqttServer Server => _server;

    /// <summary>A client that brings no name is given one (MQTT 5.0, 3.1.3.1): subscribers at a terminal seldom bring any.</summary>
    private static Task NameAsync(ValidatingConnectionEventArgs client)
    {
        if (string.IsNullOrEmpty(client.ClientId))
            client.AssignedClientIdentifier = $"guest-{Guid.NewGuid():N}";
        return Task.CompletedTask;
    }

    public async ValueTask DisposeAsync()
    {
        await _server.StopAsync();
        _server.Dispose();
    }
}
