using Dancerwatch.EdgeAgent;
using Dancerwatch.Fleet.Leases;
using Dancerwatch.Fleet.Records;
using Dancerwatch.Fleet.Tests.Holding;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.Fleet.Tests.Leases;

public sealed class HostLeaseTests
{
    private static readonly TimeSpan s_length = TimeSpan.FromSeconds(4);

    private readonly FakeTimeProvider _time = new();
    private readonly TestStorage _storage = new();
    private readonly MonotonicClock _clock;
    private readonly HostLease _lease;
    private readonly OtherLeases _others;

    public HostLeaseTests()
    {
        _clock = new MonotonicClock(_time);
        FleetStorage storage = new(_storage, _storage);
        _lease = Lease("first run");
        _others = new OtherLeases(storage, _clock);
    }

    private HostLease Lease(string run) =>
        new(
            new FleetStorage(_storage, _storage).Host("host-1"),
            new Holder("host-1", run),
            s_length,
            _clock,
            NullLogger<HostLease>.Instance
        );

    private void Pass(double seconds) => _time.Advance(TimeSpan.FromSeconds(seconds));

    private bool HoldsFor(double seconds) => _lease.HoldsFor(TimeSpan.FromSeconds(seconds));

    [Fact]
    public async Task A_lease_holds_from_the_moment_its_renewal_was_sent_not_from_when_it_was_answered()
    {
        _storage.Underway = () => Pass(1.5);

        await _lease.TakeAsync(CancellationToken.None);

        Assert.True(HoldsFor(2.4));
        Assert.False(HoldsFor(2.5));
    }

    [Fact]
    public async Task Whoever_takes_over_waits_from_the_last_renewal_he_saw_and_ends_the_lease_first()
    {
        await _lease.TakeAsync(CancellationToken.None);
        Pass(1);
        await _others.LookAsync("host-1");
        Pass(2);

        long free = await _others.EndAsync(_lease.Holder, s_length);

        Assert.Equal(TimeSpan.FromSeconds(1 + (4 * OtherLeases.ClockRateMargin)), TimeSpan.FromTicks(free));
        Assert.Equal("another host has ended it", await _lease.RenewAsync());
        Assert.True(HoldsFor(0.9));
        Assert.False(HoldsFor(1));
    }

    [Fact]
    public async Task A_lease_that_was_never_looked_at_has_to_be_waited_for_in_full()
    {
        await _lease.TakeAsync(CancellationToken.None);
        Pass(3);

        long free = await _others.EndAsync(_lease.Holder, s_length);

        Assert.Equal(TimeSpan.FromSeconds(3 + (4 * OtherLeases.ClockRateMargin)), TimeSpan.FromTicks(free));
    }

    [Fact]
    public async Task A_storage_that_is_away_takes_the_lease_once_it_is_over()
    {
        await _lease.TakeAsync(CancellationToken.None);
        _storage.IsAway = true;
        Pass(3);
        Assert.Null(await _lease.RenewAsync());
        Pass(1);

        Assert.Equal("the storage could not be written for 4 s", await _lease.RenewAsync());
    }

    [Fact]
    public async Task A_run_that_was_started_anew_takes_the_lease_from_the_run_before()
    {
        await _lease.TakeAsync(CancellationToken.None);

        await Lease("second run").TakeAsync(CancellationToken.None);

        Assert.Equal("another host has ended it", await _lease.RenewAsync());
    }

    [Fact]
    public async Task However_renewals_looks_and_delays_fall_nobody_may_poll_before_the_lease_is_over()
    {
        int seed = Random.Shared.Next();
        for (int i = 0; i < 300; i++)
            await OnceAsync(new Random(seed + i), $"seed {seed + i}");
    }

    private static async Task OnceAsync(Random chance, string what)
    {
        HostLeaseTests one = new();
        long? free = null;
        one._storage.Underway = () => one.Pass(chance.NextDouble());
        await one._lease.TakeAsync(CancellationToken.None);
        int rounds = chance.Next(1, 12);
        for (int round = 0; round < rounds; round++)
        {
            one.Pass(chance.NextDouble());
            if (chance.Next(2) == 0)
                await one._others.LookAsync("host-1");
            if (chance.Next(2) == 0)
                await one._lease.RenewAsync();
        }
        // The other ends it between this renewal's being sent and its arriving, or after.
        if (chance.Next(2) == 0)
        {
            bool isFirst = true;
            one._storage.Underway = () =>
            {
                if (!isFirst)
                    return;
                isFirst = false;
                one.Pass(chance.NextDouble());
                free = one._others.EndAsync(one._lease.Holder, s_length).GetAwaiter().GetResult();
            };
        }
        await one._lease.RenewAsync();
        free ??= await one._others.EndAsync(one._lease.Holder, s_length);
        await one._lease.RenewAsync();

        TimeSpan left = TimeSpan.FromTicks(free.Value - one._clock.Ticks);
        Assert.False(one._lease.HoldsFor(left < TimeSpan.Zero ? TimeSpan.Zero : left), what);
    }
}
