using Dancerwatch.Fleet.Records;
using Microsoft.Extensions.DependencyInjection;
using Npgsql;
using Orleans.Configuration;
using Orleans.Serialization;
using Orleans.Storage;

namespace Dancerwatch.Fleet.Hosting;

/// <summary>How Orleans is set up: who belongs to the fleet, how soon a host is lost, where things stand.</summary>
internal static class FleetSilo
{
    private const string Provider = "Npgsql";

    /// <summary>Unanswered questions that make a host suspect.</summary>
    public const int MissedProbes = 3;

    /// <summary>Hosts that must suspect another; where fewer are left, all of them.</summary>
    public const int Votes = 2;

    public static void UseFleet(this ISiloBuilder silo, FleetSettings fleet)
    {
        silo.Configure<ClusterOptions>(options =>
        {
            options.ClusterId = fleet.Fleet;
            options.ServiceId = fleet.Fleet;
        });
        silo.Configure<SiloOptions>(options => options.SiloName = fleet.Host);
        silo.Configure<SiloMessagingOptions>(options =>
            options.ResponseTimeout = options.SystemResponseTimeout = TimeSpan.FromSeconds(5)
        );
#pragma warning disable ORLEANSEXP003 // Said to be experimental. The other one puts out live controllers whose entries a lost host kept.
        silo.AddDistributedGrainDirectory();
#pragma warning restore ORLEANSEXP003
        // What a lost host held is held back for a while, in case it is not lost: our leases see to that, and know how long.
        silo.Configure<GrainDirectoryOptions>(options => options.RangeLeaseDuration = TimeSpan.Zero);
        if (fleet.Database is { } database)
            silo.UseDatabase(fleet, database);
        else
            silo.UseLocalhostClustering(
                    fleet.Port,
                    gatewayPort: 0,
                    serviceId: fleet.Fleet,
                    clusterId: fleet.Fleet
                )
                .AddMemoryGrainStorage(FleetStorage.Name)
                .AddMemoryGrainStorage(FleetStorage.Leases)
                .UseInMemoryReminderService();
        silo.Configure<ClusterMembershipOptions>(options =>
        {
            options.ProbeTimeout = options.MaxProbeTimeout = fleet.Probe;
            options.NumMissedProbesLimit = MissedProbes;
            options.NumVotesForDeathDeclaration = Votes;
            options.TableRefreshTimeout = 2 * fleet.Probe;
            options.IAmAliveTablePublishTimeout = TimeSpan.FromSeconds(10);
            options.DefunctSiloExpiration = TimeSpan.FromDays(1);
        });
    }

    /// <summary>A database that does not answer must be noticed well before the lease is over.</summary>
    /// <param name="purpose">Connections of one purpose do not wait for those of another.</param>
    /// <param name="connections">Most of them at a time.</param>
    public static string Connection(string database, string purpose, int connections)
    {
        NpgsqlConnectionStringBuilder builder = new(database);
        if (!builder.ShouldSerialize("Timeout"))
            builder.Timeout = 2;
        if (!builder.ShouldSerialize("Command Timeout"))
            builder.CommandTimeout = 2;
        if (!builder.ShouldSerialize("Cancellation Timeout"))
            builder.CancellationTimeout = 500;
        builder.ApplicationName = $"dancerwatch-fleet {purpose}";
        builder.MaxPoolSize = connections;
        return builder.ConnectionString;
    }

    private static void UseDatabase(this ISiloBuilder silo, FleetSettings fleet, string database)
    {
        string members = Connection(database, "members", connections: 4);
        silo.ConfigureEndpoints(fleet.Address, fleet.Port, gatewayPort: 0);
        silo.UseAdoNetClustering(options =>
            (options.Invariant, options.ConnectionString) = (Provider, members)
        );
        silo.UseAdoNetReminderService(options =>
            (options.Invariant, options.ConnectionString) = (Provider, members)
        );
        silo.AddStorage(FleetStorage.Leases, Connection(database, "leases", connections: 4));
        silo.AddStorage(FleetStorage.Name, Connection(database, "machines", connections: 12));
    }

    private static void AddStorage(this ISiloBuilder silo, string name, string connection) =>
        silo.AddAdoNetGrainStorage(
            name,
            options =>
                options.Configure<Serializer>(
                    (storage, serializer) =>
                    {
                        (storage.Invariant, storage.ConnectionString) = (Provider, connection);
                        // Fields by number: another build's are passed over.
                        storage.GrainStorageSerializer = new OrleansGrainStorageSerializer(serializer);
                    }
                )
        );
}
