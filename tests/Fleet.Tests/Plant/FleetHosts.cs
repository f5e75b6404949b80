using System.Diagnostics;
using System.Globalization;
using Dancerwatch.EndToEnd.Tests;

namespace Dancerwatch.Fleet.Tests.Plant;

/// <summary>The hosts of a fleet, each a process in a network namespace of its own, with a disk of its own.</summary>
internal sealed class FleetHosts(PlantNetwork network, string directory) : IAsyncDisposable
{
    private readonly Dictionary<int, ToolProcess> _running = [];
    private readonly List<ToolProcess> _all = [];

    /// <summary>All that any of them has said, with the host's number.</summary>
    public IEnumerable<(int Host, string Line)> Said =>
        _all.SelectMany(process => process.Lines.Select(line => (_numbers[process], line)));

    private readonly Dictionary<ToolProcess, int> _numbers = [];

    /// <summary>Starts a host, or starts it anew.</summary>
    /// <param name="program">A build of the program; the tests' own where null.</param>
    public void Start(int host, string? program = null)
    {
        string database = Path.Combine(directory, "database");
        File.WriteAllText(database, PrivatePostgres.ConnectionString);
        ToolProcess process = FleetProgram.Start(
            program ?? FleetProgram.Built,
            network.At(host),
            [
                "run",
                "--config",
                Path.Combine(directory, "plant.jsonc"),
                "--database-file",
                database,
                "--host",
                $"host-{host}",
                "--address",
                $"{PlantNetwork.Host(host)}",
                "--state",
                Path.Combine(directory, $"state-{host}"),
                "--save-seconds",
                "5",
            ]
        );
        _running[host] = process;
        _numbers[process] = host;
        _all.Add(process);
    }

    /// <summary>kill -9.</summary>
    public async Task KillAsync(int host)
    {
        await _running[host].SendAsync("KILL");
        await _running[host].LinesToEndAsync(CancellationToken.None);
    }

    /// <summary>Waits until a host has ended by itself.</summary>
    /// <returns>Its exit code.</returns>
    public async Task<int> EndedAsync(int host)
    {
        using CancellationTokenSource limit = new(TimeSpan.FromSeconds(40));
        await _running[host].LinesToEndAsync(limit.Token);
        return _running[host].ExitCode!.Value;
    }

    /// <summary>Asks all to end, and waits for it.</summary>
    public Task StopAsync() => Task.WhenAll(_running.Keys.Select(StopAsync));

    /// <summary>Asks one to end, and waits for it.</summary>
    public async Task StopAsync(int host)
    {
        using CancellationTokenSource limit = new(TimeSpan.FromSeconds(40));
        await _running[host].EndAsync(limit.Token);
        Assert.Equal(0, _running[host].ExitCode);
    }

    /// <summary>Sends a host a signal by its name, such as <c>STOP</c>.</summary>
    public Task SendAsync(int host, string signal) => _running[host].SendAsync(signal);

    /// <summary>What the hosts take of the computer, over a while.</summary>
    public async Task<string> CostAsync(TimeSpan over)
    {
        Process[] processes = [.. _running.Values.Select(process => Process.GetProcessById(process.Id))];
        TimeSpan[] before = [.. processes.Select(process => process.TotalProcessorTime)];
        long begun = TimeProvider.System.GetTimestamp();
        await Task.Delay(over);
        TimeSpan passed = TimeProvider.System.GetElapsedTime(begun);
        string[] each =
        [
            .. processes.Zip(
                before,
                (process, then) =>
                {
                    process.Refresh();
                    return string.Create(
                        CultureInfo.InvariantCulture,
                        $"{100 * (process.TotalProcessorTime - then) / passed:F0} % of a core, {process.WorkingSet64 >> 20} MB"
                    );
                }
            ),
        ];
        foreach (Process process in processes)
            process.Dispose();
        return $"the hosts take {string.Join("; ", each)}";
    }

    /// <summary>When another host first said, after a time, that one is lost; null while none did.</summary>
    public DateTimeOffset? KnownLost(int host, DateTimeOffset after)
    {
        DateTimeOffset[] told =
        [
            .. Said.Where(one =>
                    one.Host != host
                    && one.Line.Contains($"Host host-{host} is Dead", StringComparison.Ordinal)
                )
                .Select(one => TimeOf(one.Line))
                .Where(time => time > after)
                .Order(),
        ];
        return told.Length > 0 ? told[0] : null;
    }

    /// <summary>When a line of the log was written.</summary>
    public static DateTimeOffset TimeOf(string line) =>
        DateTimeOffset.Parse(line[..line.IndexOf(' ')], CultureInfo.InvariantCulture);

    public async ValueTask DisposeAsync()
    {
        foreach (ToolProcess process in _all)
            await process.DisposeAsync();
        if (Environment.GetEnvironmentVariable("DANCERWATCH_FLEET_LOGS") is { } logs)
            await File.WriteAllLinesAsync(logs, Said.Select(one => $"host-{one.Host} {one.Line}"));
    }
}
