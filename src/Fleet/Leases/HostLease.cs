using Dancerwatch.EdgeAgent;
using Dancerwatch.Fleet.Records;
using Microsoft.Extensions.Logging;
using Orleans.Storage;

namespace Dancerwatch.Fleet.Leases;

/// <summary>
/// This host's right to poll. Held from the moment a renewal was sent, for as long as the lease is, by the monotonic clock; no
/// poll begins later. Whoever takes over waits as long from the last renewal that he saw, so that two never poll at once.
/// </summary>
internal sealed class HostLease(
    Record<HostRecord> record,
    Holder holder,
    TimeSpan length,
    MonotonicClock clock,
    ILogger<HostLease> logger
)
{
    /// <summary>A renewal is tried so many times while a lease holds.</summary>
    private const int Tries = 4;

    private readonly TaskCompletionSource _taken = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private long _untilTicks;
    private string? _lost;

    /// <summary>Who holds it.</summary>
    public Holder Holder { get; } = holder;

    /// <summary>Length of the lease from each renewal on.</summary>
    public TimeSpan Length => length;

    /// <summary>Whether what takes so long may begin now, a poll and its timeout say.</summary>
    public bool HoldsFor(TimeSpan time) => clock.Ticks + time.Ticks < Interlocked.Read(ref _untilTicks);

    /// <summary>Done once the lease was taken first.</summary>
    public Task Taken => _taken.Task;

    /// <summary>Takes the lease, from an earlier run on this host where there was one.</summary>
    public async Task TakeAsync(CancellationToken cancellation)
    {
        while (true)
        {
            cancellation.ThrowIfCancellationRequested();
            try
            {
                await record.ReadAsync();
                await WriteAsync();
                _taken.TrySetResult();
                return;
            }
            catch (InconsistentStateException)
            {
                // Another ended the earlier run meanwhile.
            }
        }
    }

    /// <summary>Renews the lease until <paramref name="cancellation"/>, or until it is lost.</summary>
    /// <returns>Why it is lost; null where cancelled.</returns>
    public async Task<string?> KeepAsync(CancellationToken cancellation)
    {
        using PeriodicTimer timer = new(length / Tries, clock.Time);
        try
        {
            while (await timer.WaitForNextTickAsync(cancellation))
            {
                if (await RenewAsync() is { } lost)
                    return lost;
            }
        }
        catch (OperationCanceledException) when (cancellation.IsCancellationRequested) { }
        return null;
    }

    /// <summary>Renews the lease once; one that was lost never again.</summary>
    /// <returns>Why it is lost; null where it is not.</returns>
    public async Task<string?> RenewAsync() => _lost ??= await RenewOrLoseAsync();

    private async Task<string?> RenewOrLoseAsync()
    {
        TimeSpan left = TimeSpan.FromTicks(Interlocked.Read(ref _untilTicks) - clock.Ticks);
        if (left <= TimeSpan.Zero)
            return $"the storage could not be written for {length.TotalSeconds} s";
        Task renewal = TryRenewAsync();
        await renewal.WaitAsync(left, clock.Time).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        if (!renewal.IsCompleted)
            return $"the storage did not answer for {length.TotalSeconds} s";
        try
        {
            await renewal;
            return record.Value.IsOver || record.Value.Run != Holder.Run ? "another host has ended it" : null;
        }
#pragma warning disable CA1031 // Whatever ails the storage: the lease says how long that may last.
        catch (Exception failure)
#pragma warning restore CA1031
        {
            string trouble = failure.GetBaseException().Message;
            logger.LeaseNotRenewed(left.TotalSeconds, trouble);
            return null;
        }
    }

    private async Task TryRenewAsync()
    {
        try
        {
            await WriteAsync();
        }
        catch (InconsistentStateException)
        {
            // Another ended it; or an earlier write of ours arrived though it seemed to fail.
            await record.ReadAsync();
            if (record.Value.Run == Holder.Run && !record.Value.IsOver)
                await WriteAsync();
        }
    }

    private async Task WriteAsync()
    {
        record.Value.Run = Holder.Run;
        record.Value.Lease = length;
        record.Value.IsOver = false;
        record.Value.Renewals++;
        long sent = clock.Ticks;
        await record.WriteAsync();
        Interlocked.Exchange(ref _untilTicks, sent + length.Ticks);
    }
}
