using System.Diagnostics;
using Dancerwatch.EndToEnd.Tests;
using Dancerwatch.Fleet.Commands;
using Npgsql;

namespace Dancerwatch.Fleet.Tests.Plant;

/// <summary>A PostgreSQL of the test's own, in a directory of its own, with the fleet's tables. It refuses to be root, so it is nobody.</summary>
internal sealed class PrivatePostgres : IAsyncDisposable
{
    private const int Port = 5_432;

    private static readonly string[] s_nobody =
    [
        "setpriv",
        "--reuid=nobody",
        "--regid=nogroup",
        "--clear-groups",
    ];

    private readonly ToolProcess _server;
    private readonly string _directory;

    private PrivatePostgres(ToolProcess server, string directory)
    {
        (_server, _directory) = (server, directory);
        Here = NpgsqlDataSource.Create($"Host={directory};Port={Port};Username=fleet;Database=postgres");
    }

    /// <summary>Over a socket in the file system, past all networks.</summary>
    public NpgsqlDataSource Here { get; }

    /// <summary>How a host reaches it.</summary>
    public static string ConnectionString =>
        $"Host={PlantNetwork.Database};Port={Port};Username=fleet;Database=postgres";

    /// <summary>Where its programs are; skips the test where there are none.</summary>
    public static string RequirePrograms()
    {
        string? newest = Directory.Exists("/usr/lib/postgresql")
            ? Directory.GetDirectories("/usr/lib/postgresql").Order(StringComparer.Ordinal).LastOrDefault()
            : null;
        Assert.SkipWhen(newest is null, "PostgreSQL is not installed (on Debian .ci/run installs it)");
        ToolProcess.Require("setpriv");
        return Path.Combine(newest!, "bin");
    }

    public static async Task<PrivatePostgres> StartAsync(PlantNetwork network)
    {
        string programs = RequirePrograms();
        string directory = Directory.CreateTempSubdirectory("dancerwatch-postgres-").FullName;
        await RunAsync(["chown", "nobody", directory]);
        string data = Path.Combine(directory, "data");
        await RunAsync([
            .. s_nobody,
            Path.Combine(programs, "initdb"),
            "--pgdata",
            data,
            "--username=fleet",
            "--auth=trust",
            "--no-sync",
        ]);
        await File.AppendAllTextAsync(
            Path.Combine(data, "pg_hba.conf"),
            "host all all 198.19.77.0/24 trust\n"
        );
        string[] command =
        [
            .. network.Shared,
            .. s_nobody,
            Path.Combine(programs, "postgres"),
            "-D",
            data,
            "-k",
            directory,
            "-c",
            $"listen_addresses={PlantNetwork.Database}",
            "-c",
            $"port={Port}",
        ];
        ToolProcess server = new(command[0], command[1..]);
        PrivatePostgres postgres = new(server, directory);
        await server.LineAsync(line => line.Contains("ready to accept", StringComparison.Ordinal));
        await using NpgsqlCommand schema = postgres.Here.CreateCommand(SchemaCommand.Text());
        await schema.ExecuteNonQueryAsync();
        return postgres;
    }

    /// <summary>Controllers whose machines' snapshots stand there.</summary>
    public long Saved()
    {
        using NpgsqlCommand command = Here.CreateCommand(
            "select count(*) from fleet_memory where kind = 'fleet-machines' and length(payload) > 1000"
        );
        return (long)command.ExecuteScalar()!;
    }

    public async ValueTask DisposeAsync()
    {
        await Here.DisposeAsync();
        await _server.EndAsync(CancellationToken.None, "INT");
        await _server.DisposeAsync();
        Directory.Delete(_directory, recursive: true);
    }

    private static async Task RunAsync(string[] command)
    {
        using Process process = Process.Start(
            new ProcessStartInfo(command[0], command[1..])
            {
                RedirectStandardOutput = true,
                RedirectStandardError = true,
            }
        )!;
        Task<string> said = process.StandardOutput.ReadToEndAsync();
        string trouble = await process.StandardError.ReadToEndAsync();
        await process.WaitForExitAsync();
        Assert.True(process.ExitCode == 0, $"{command[^1]}: {trouble}{await said}");
    }
}
