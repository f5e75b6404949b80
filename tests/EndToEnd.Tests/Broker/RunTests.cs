using System.Net;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.Hall;

namespace Dancerwatch.EndToEnd.Tests.Broker;

/// <summary>The daemon as it is run, between a virtual hall's controller and Debian's mosquitto.</summary>
public sealed class RunTests
{
    private const string Tea1 = "dancerwatch/v1/leafside/tea-hall/line-1/tea-1";
    private static readonly TimeSpan s_limit = TimeSpan.FromSeconds(30);

    [Fact]
    public async Task Run_publishes_what_it_reads_and_survives_a_restart_of_the_controller_and_of_the_broker()
    {
        CancellationToken cancellation = TestContext.Current.CancellationToken;
        await using MosquittoHall broker = new();
        await broker.StartAsync();
        PackingHall hall = new(TeaHall.Machines, TimeProvider.System);
        await using ControllerServer controller = hall.Controller;
        controller.Start(new IPEndPoint(IPAddress.Loopback, 0));
        IPEndPoint endPoint = controller.EndPoint;
        using CancellationTokenSource stop = new();
        Task packing = hall.RunAsync(stop.Token);
        using TempFile config = new(
            TeaHallConfiguration.Text(endPoint.Port, broker.SettingsFor("dancerwatch"))
        );
        await using StringWriter output = new();
        await using StringWriter error = new();
        Task<int> run = CommandLine.RunAsync(["run", "--config", config.Path], output, error, stop.Token);

        await using (ToolProcess scada = broker.Subscribe())
        {
            await scada.LineAsync(line => IsGoodFill(line));

            await controller.StopAsync();
            await scada.LineAsync(line => Says(line, "data-lost", "raised"));
            controller.Start(endPoint);
            await scada.LineAsync(line => Says(line, "data-lost", "cleared"));
        }

        await broker.KillAsync();
        await broker.StartAsync();
        await using (ToolProcess scada = broker.Subscribe())
        {
            await scada.LineAsync(line => IsGoodFill(line));
            await stop.CancelAsync();
            await scada.LineAsync(line =>
                line.Contains("/agents/dancerwatch-tea-hall/status ", StringComparison.Ordinal)
                && line.Contains("\"offline\"", StringComparison.Ordinal)
            );
        }
        Assert.Equal(ExitCodes.Ok, await run.WaitAsync(s_limit, cancellation));
        await packing.WaitAsync(s_limit, cancellation);
        Assert.Empty(error.ToString());
    }

    private static bool IsGoodFill(string line) =>
        line.Contains($" {Tea1}/state/fill ", StringComparison.Ordinal)
        && line.Contains("\"quality\":\"good\"", StringComparison.Ordinal);

    private static bool Says(string line, string condition, string state) =>
        line.Contains($" {Tea1}/event ", StringComparison.Ordinal)
        && line.Contains($"\"condition\":\"{condition}\",\"state\":\"{state}\"", StringComparison.Ordinal);

    private sealed class TempFile : IDisposable
    {
        public TempFile(string text) => File.WriteAllText(Path, text);

        public string Path { get; } = System.IO.Path.GetTempFileName();

        public void Dispose() => File.Delete(Path);
    }
}
