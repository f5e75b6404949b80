using System.Diagnostics;
using System.Globalization;
using System.Net;
using Dancerwatch.VirtualMachine.FilmPath;
using Dancerwatch.VirtualMachine.Hall;
using MQTTnet.Server;

namespace Dancerwatch.Scale;

/// <summary>
/// Virtual machines with their physics, their controllers, and a broker, in a process of their own, so that what they cost is
/// not taken for what the daemon does. Gone when this process is.
/// </summary>
internal sealed class VirtualPlant : IAsyncDisposable
{
    private const byte ReadTag = 0x4C;
    private readonly Process _process;

    public VirtualPlant(int machines)
    {
        _process = Process.Start(
            new ProcessStartInfo(Environment.ProcessPath!, ["serve", $"{machines}"])
            {
                RedirectStandardInput = true,
                RedirectStandardOutput = true,
            }
        )!;
        int[] ports = Numbers(_process.StandardOutput.ReadLine()!);
        (BrokerPort, Controllers) = (ports[0], ports[1..]);
    }

    public int BrokerPort { get; }

    /// <summary>Ports of the controllers, on 127.0.0.1.</summary>
    public IReadOnlyList<int> Controllers { get; }

    public TimeSpan ProcessorTime
    {
        get
        {
            _process.Refresh();
            return _process.TotalProcessorTime;
        }
    }

    /// <summary>So far: tags read of all controllers, messages that the broker took, bytes of them, daemon's connections.</summary>
    public (long Tags, long Messages, long Bytes, long Connections) Counts()
    {
        _process.StandardInput.WriteLine();
        _process.StandardInput.Flush();
        long[] counts = [.. _process.StandardOutput.ReadLine()!.Split(' ').Select(long.Parse)];
        return (counts[0], counts[1], counts[2], counts[3]);
    }

    /// <summary>Is the process of the plant until its input ends: says its ports, then answers each line with counts.</summary>
    public static async Task ServeAsync(int machines)
    {
        PackingHall[] halls =
        [
            .. Enumerable
                .Range(0, machines)
                .Chunk(Sizes.MachinesPerController)
                .Select(some => new PackingHall(
                    [.. some.Select(i => Machine(i + 1))],
                    TimeProvider.System,
                    seed: some[0]
                )),
        ];
        foreach (PackingHall hall in halls)
            hall.Controller.Start(new IPEndPoint(IPAddress.Loopback, 0));
        long messages = 0;
        long bytes = 0;
        MqttServerOptions options = new();
        options.DefaultEndpointOptions.IsEnabled = true;
        options.DefaultEndpointOptions.BoundInterNetworkAddress = IPAddress.Loopback;
        options.DefaultEndpointOptions.BoundInterNetworkV6Address = IPAddress.None;
        options.DefaultEndpointOptions.Port = FreePort();
        using MqttServer broker = new MqttServerFactory().CreateMqttServer(options);
        broker.InterceptingPublishAsync += published =>
        {
            Interlocked.Increment(ref messages);
            Interlocked.Add(ref bytes, published.ApplicationMessage.Payload.Length);
            return Task.CompletedTask;
        };
        await broker.StartAsync();
        using CancellationTokenSource end = new();
        Task running = Task.WhenAll(halls.Select(hall => hall.RunAsync(end.Token)));
        Console.WriteLine(
            string.Join(
                ' ',
                halls
                    .Select(hall => hall.Controller.EndPoint.Port)
                    .Prepend(options.DefaultEndpointOptions.Port)
            )
        );
        while (await Console.In.ReadLineAsync() is not null)
        {
            long tags = halls.Sum(hall => hall.Controller.Counters.RequestsOf(ReadTag));
            long connections = halls.Sum(hall => hall.Controller.Counters.Clients);
            Console.WriteLine(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{tags} {Interlocked.Read(ref messages)} {Interlocked.Read(ref bytes)} {connections}"
                )
            );
        }
        await end.CancelAsync();
        await running;
        await broker.StopAsync();
    }

    public async ValueTask DisposeAsync()
    {
        _process.StandardInput.Close();
        await _process.WaitForExitAsync();
        _process.Dispose();
    }

    private static HallMachine Machine(int number) =>
        new(
            $"tea-{number}",
            $"Tea{number}",
            MachineParameters.Random(number) with
            {
                Brake = BrakeKind.SpringLinked,
            },
            []
        );

    private static int FreePort()
    {
        using System.Net.Sockets.TcpListener listener = new(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }

    private static int[] Numbers(string line) => [.. line.Split(' ').Select(int.Parse)];
}
