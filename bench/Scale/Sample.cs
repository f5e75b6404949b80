namespace Dancerwatch.Scale;

/// <summary>What one plant took, measured. Rates are a second's.</summary>
/// <param name="Connections">To controllers.</param>
/// <param name="PollShare">Readings that were taken, of those that were due.</param>
/// <param name="Packets">TCP segments to and from controllers, on loopback.</param>
/// <param name="ProcessorPercent">Of the daemon, of one core.</param>
/// <param name="PlantPercent">Of controllers, machines and broker, likewise.</param>
/// <param name="Megabytes">Memory in use at the end (RSS), 10^6 bytes.</param>
/// <param name="Messages">That the broker took.</param>
/// <param name="DiskGigabytesPerDay">Of recordings as Parquet, 10^9 bytes.</param>
internal sealed record Sample(
    int Machines,
    double Connections,
    double PollShare,
    double Packets,
    double ProcessorPercent,
    double PlantPercent,
    double Megabytes,
    double Messages,
    double DiskGigabytesPerDay
);
