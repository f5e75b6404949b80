using System.Diagnostics;
using System.Net;
using System.Net.Sockets;
using Dancerwatch.EdgeAgent;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.Tags;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.Polling;

/// <summary>
/// Virtual controllers in a process of their own, so that what they cost is not taken for what polling costs; and a socket
/// that sends back what it gets, the quickest a controller could be. Gone when this process is.
/// </summary>
internal sealed class ControllerProcess : IAsyncDisposable
{
    private readonly Process _process;
    private readonly int[] _ports;

    public ControllerProcess(int controllers, int tags)
    {
        ProcessStartInfo start = new(Environment.ProcessPath!, ["serve", $"{controllers}", $"{tags}"])
        {
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
        };
        // It answers on the thread that waits for its sockets: the least it can cost, as in a controller that does nothing else.
        start.Environment["DOTNET_SYSTEM_NET_SOCKETS_INLINE_COMPLETIONS"] = "1";
        _process = Process.Start(start)!;
        _ports = [.. _process.StandardOutput.ReadLine()!.Split(' ').Select(int.Parse)];
        Tags = [.. Enumerable.Range(0, tags).Select(i => new TagRequest(TagName(i), TagType.Real))];
    }

    public IReadOnlyList<TagRequest> Tags { get; }

    /// <summary>Where what is sent comes back.</summary>
    public IPEndPoint Echo => new(IPAddress.Loopback, _ports[^1]);

    /// <summary>Processor time used so far, in steps of the system's 10 ms.</summary>
    public TimeSpan ProcessorTime
    {
        get
        {
            _process.Refresh();
            return _process.TotalProcessorTime;
        }
    }

    /// <param name="tags">Of those there are; all by default.</param>
    public ITagReader Reader(int controller, MonotonicClock clock, int? tags = null) =>
        TagReaders.Create(
            new ControllerSettings
            {
                Name = $"packing-{controller}",
                Host = "127.0.0.1",
                Port = _ports[controller],
            },
            [.. Tags.Take(tags ?? Tags.Count)],
            clock,
            NullLoggerFactory.Instance
        );

    /// <summary>Is the process of the controllers until its input ends: says their ports, then serves.</summary>
    public static async Task ServeAsync(int controllers, int tags)
    {
        TagTable table = new();
        for (int i = 0; i < tags; i++)
            table.AddReal(TagName(i)).Value = i + 0.5f;
        ControllerServer[] servers =
        [
            .. Enumerable
                .Range(0, controllers)
                .Select(_ => new ControllerServer(table, new ControllerServerOptions(), TimeProvider.System)),
        ];
        foreach (ControllerServer server in servers)
            server.Start(new IPEndPoint(IPAddress.Loopback, 0));
        using Socket echo = new(AddressFamily.InterNetwork, SocketType.Stream, ProtocolType.Tcp);
        echo.Bind(new IPEndPoint(IPAddress.Loopback, 0));
        echo.Listen();
        new Thread(() => EchoClients(echo)) { IsBackground = true }.Start();
        int[] ports =
        [
            .. servers.Select(server => server.EndPoint.Port),
            ((IPEndPoint)echo.LocalEndPoint!).Port,
        ];
        Console.WriteLine(string.Join(' ', ports));
        await Console.In.ReadToEndAsync();
    }

    public async ValueTask DisposeAsync()
    {
        _process.StandardInput.Close();
        await _process.WaitForExitAsync();
        _process.Dispose();
    }

    private static string TagName(int number) => $"Program:Packing.Tea1.Signal{number}";

    private static void EchoClients(Socket listener)
    {
        byte[] buffer = new byte[8192];
        while (true)
        {
            using Socket client = listener.Accept();
            client.NoDelay = true;
            for (int length = 1; length > 0; )
            {
                length = client.Receive(buffer);
                client.Send(buffer.AsSpan(0, length));
            }
        }
    }
}
