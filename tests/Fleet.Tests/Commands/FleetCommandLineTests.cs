using System.Net;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Tests.Mqtt;
using Dancerwatch.Fleet.Commands;
using Dancerwatch.Fleet.Demo;
using Dancerwatch.Fleet.Tests.Plant;

namespace Dancerwatch.Fleet.Tests.Commands;

public sealed class FleetCommandLineTests : IDisposable
{
    private readonly PlantFolder _folder = new();

    private string PathOf(string name) => Path.Combine(_folder.Path, name);

    private static async Task<(int Code, string Said)> RunAsync(params string[] args)
    {
        using StringWriter output = new();
        int code = await FleetCommandLine.RunAsync(
            args,
            output,
            output,
            TestContext.Current.CancellationToken
        );
        return (code, $"{output}");
    }

    private string Configured(int broker = 1_883, int firstPort = 44_818)
    {
        File.WriteAllText(
            PathOf("plant.jsonc"),
            PlantConfiguration.Of(
                2,
                IPAddress.Loopback,
                firstPort,
                new IPEndPoint(IPAddress.Loopback, broker),
                pollMilliseconds: 50
            )
        );
        return PathOf("plant.jsonc");
    }

    [Fact]
    public async Task A_host_is_alone_or_has_a_database_and_is_told_so()
    {
        (int code, string said) = await RunAsync("run", "--config", Configured());

        Assert.Equal(ExitCodes.Usage, code);
        Assert.Contains("--database-file, or --alone", said, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_database_file_that_says_nothing_useful_is_refused_and_not_repeated()
    {
        File.WriteAllText(PathOf("database"), "Host=192.0.2.5;Pasword=secret");

        (int code, string said) = await RunAsync(
            "run",
            "--config",
            Configured(),
            "--database-file",
            PathOf("database")
        );

        Assert.Equal(ExitCodes.Usage, code);
        Assert.Contains("does not say how PostgreSQL is reached", said, StringComparison.Ordinal);
        Assert.DoesNotContain("secret", said, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_hosts_name_must_be_fit_for_a_topic()
    {
        (int code, string said) = await RunAsync(
            "run",
            "--config",
            Configured(),
            "--alone",
            "--host",
            "hall/1"
        );

        Assert.Equal(ExitCodes.Usage, code);
        Assert.Contains("--host is 'hall/1'", said, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_a_fleet_has_not_is_refused_by_its_name()
    {
        string path = Configured();
        string text = File.ReadAllText(path);
        File.WriteAllText(
            path,
            text.Replace(
                "\"recordings\"",
                "\"statusPage\": { \"enabled\": true }, \"recordings\"",
                StringComparison.Ordinal
            )
        );

        (int code, string said) = await RunAsync("run", "--config", path, "--alone");

        Assert.Equal(ExitCodes.Usage, code);
        Assert.Contains("statusPage:", said, StringComparison.Ordinal);
    }

    [Fact]
    public async Task One_host_alone_watches_a_virtual_plant_and_ends_in_good_order()
    {
        int first = LoopbackPort.FreeRow(2);
        await using VirtualPlant plant = new(machines: 2, restless: null, TimeProvider.System);
        plant.Start(IPAddress.Loopback, first);
        using CancellationTokenSource end = new();
        Task running = plant.RunAsync(end.Token);
        await using EmbeddedBroker broker = await EmbeddedBroker.StartAsync();
        await using ListeningClient client = await ListeningClient.ConnectAsync(broker.Port);

        Task<int> host = FleetCommandLine.RunAsync(
            [
                "run",
                "--config",
                Configured(broker.Port, first),
                "--alone",
                "--host",
                "host-1",
                "--port",
                $"{LoopbackPort.Free()}",
                "--state",
                PathOf("state"),
            ],
            TextWriter.Null,
            TextWriter.Null,
            end.Token
        );
        await client.NextAsync("dancerwatch/v1/leafside/tea-hall/line-1/tea-1/state/fill");
        await client.NextAsync("dancerwatch/v1/leafside/tea-hall/line-1/tea-2/state/fill");
        await client.NextAsync(
            "dancerwatch/v1/leafside/tea-hall/line-1/tea-1/status",
            status => status.GetProperty("agent").GetString() == "dancerwatch-host-1"
        );
        await end.CancelAsync();

        Assert.Equal(ExitCodes.Ok, await host);
        await running;
    }

    public void Dispose() => _folder.Dispose();
}
