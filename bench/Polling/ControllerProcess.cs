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
    /// <summary>Counts of a dancer half way, and as good a speed as any.</summary>
    private const float Usual = 2_050;

    private readonly Process _process;
    private readonly int[] _ports;

    /// <param name="restless">Whether every other tag, from the first on, is no number now and then.</param>
    public ControllerProcess(int controllers, int tags, bool restless = false)
    {
        string how = restless ? "restless" : "still";
        ProcessStartInfo start = new(
            Environment.ProcessPath!,
            ["serve", $"{controllers}", $"{tags}", how, $"{Processors.OfControllers}"]
        )
        {
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
        };
        // It answers on the one thread that waits for its sockets: the least it can cost, as in a controller that does nothing else.
        start.Environment["DOTNET_SYSTEM_NET_SOCKETS_INLINE_COMPLETIONS"] = "1";
        start.Environment["DOTNET_SYSTEM_NET_SOCKETS_THREAD_COUNT"] = "1";
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

    public ControllerSettings Settings(int controller) =>
        new()
        {
            Name = $"packing-{controller}",
            Host = "127.0.0.1",
            Port = _ports[controller],
        };

    /// <param name="tags">Of those there are; all by default.</param>
    public ITagReader Reader(int controller, MonotonicClock clock, int? tags = null) =>
        TagReaders.Create(
            Settings(controller),
            [.. Tags.Take(tags ?? Tags.Count)],
            clock,
            NullLoggerFactory.Instance
        );

    /// <summary>Is the process of the controllers until its input ends: says their ports, then serves.</summary>
    public static async Task ServeAsync(int controllers, int tags, bool restless, nint processors)
    {
        Processors.Take(processors);
        List<TagCell<float>> cells = [];
        ControllerServer[] servers =
        [
            .. Enumerable
                .Range(0, controllers)
                .Select(_ => new ControllerServer(
                    Table(tags, cells),
                    new ControllerServerOptions(),
                    TimeProvider.System
                )),
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
        // On a thread of its own: the console's reader does not know how to wait.
        Task end = Task.Run(Console.In.ReadToEnd);
        if (restless)
            await LoseSomeAsync([.. cells.Where((_, i) => i % 2 == 0)], end);
        await end;
    }

    public async ValueTask DisposeAsync()
    {
        _process.StandardInput.Close();
        await _process.WaitForExitAsync();
        _process.Dispose();
    }

    private static TagTable Table(int tags, List<TagCell<float>> cells)
    {
        TagTable table = new();
        for (int i = 0; i < tags; i++)
        {
            TagCell<float> cell = table.AddReal(TagName(i));
            cell.Value = Usual;
            cells.Add(cell);
        }
        return table;
    }

    // Each is lost, or found again, twice in three seconds, at its own times.
    private static async Task LoseSomeAsync(TagCell<float>[] cells, Task end)
    {
        TimeSpan look = TimeSpan.FromMilliseconds(20);
        int[] left = new int[cells.Length];
        using PeriodicTimer timer = new(look);
        while (!end.IsCompleted && await timer.WaitForNextTickAsync())
        {
            for (int i = 0; i < cells.Length; i++)
            {
                if (--left[i] > 0)
                    continue;
                cells[i].Value = float.IsNaN(cells[i].Value) ? Usual : float.NaN;
                left[i] = Random.Shared.Next(25, 125);
            }
        }
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
