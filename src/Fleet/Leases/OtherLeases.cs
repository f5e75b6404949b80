using System.Collections.Concurrent;
using Dancerwatch.EdgeAgent;
using Dancerwatch.Fleet.Records;
using Orleans.Storage;

namespace Dancerwatch.Fleet.Leases;

/// <summary>The leases of other hosts, as seen from here by the monotonic clock: when each was renewed last at the latest.</summary>
internal sealed class OtherLeases(FleetStorage storage, MonotonicClock clock)
{
    /// <summary>Two hosts' clocks may run apart by so much: far more than any crystal does.</summary>
    public const double ClockRateMargin = 1.01;

    private readonly ConcurrentDictionary<string, Sight> _seen = [];
    private readonly ConcurrentDictionary<Holder, long> _over = [];

    /// <summary>Looks at a host's lease, so that its age is known once it matters.</summary>
    public async Task LookAsync(string host)
    {
        Record<HostRecord> record = storage.Host(host);
        await record.ReadAsync();
        Note(host, record.Value);
    }

    /// <summary>
    /// Ends the lease of a host that is lost, so that it cannot be renewed, and tells when it has run out for whoever held it.
    /// </summary>
    /// <returns>Monotonic ticks from which on another may poll what it polled.</returns>
    public async Task<long> EndAsync(Holder lost, TimeSpan ownLength)
    {
        if (_over.TryGetValue(lost, out long known))
            return known;
        Record<HostRecord> record = storage.Host(lost.Host);
        while (true)
        {
            await record.ReadAsync();
            TimeSpan length = record.Value.Lease > ownLength ? record.Value.Lease : ownLength;
            long renewedAt = Note(lost.Host, record.Value);
            if (record.Value.Run != lost.Run)
                return Remember(lost, clock.Ticks, length);
            if (record.Value.IsOver)
                return Remember(lost, renewedAt, length);
            try
            {
                record.Value.IsOver = true;
                await record.WriteAsync();
                return Remember(lost, renewedAt, length);
            }
            catch (InconsistentStateException)
            {
                // It was renewed meanwhile, or another host has ended it.
            }
        }
    }

    private long Remember(Holder lost, long renewedAt, TimeSpan length) =>
        _over.GetOrAdd(lost, renewedAt + (long)(length.Ticks * ClockRateMargin));

    /// <returns>When the lease was seen first as renewed last, monotonic ticks: it was renewed no later.</returns>
    private long Note(string host, HostRecord lease)
    {
        Sight now = new(lease.Run, lease.Renewals, clock.Ticks);
        return _seen
            .AddOrUpdate(
                host,
                _ => now,
                (_, before) => before.Run == now.Run && before.Renewals == now.Renewals ? before : now
            )
            .Ticks;
    }

    private readonly record struct Sight(string Run, long Renewals, long Ticks);
}
