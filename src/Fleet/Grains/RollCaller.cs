using Dancerwatch.EdgeAgent;
using Dancerwatch.Fleet.Leases;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.Fleet.Grains;

/// <summary>Has the roll called, from every host: each second, and at once when a host comes or goes. Looks at the others' leases.</summary>
internal sealed class RollCaller(
    IGrainFactory grains,
    IClusterMembershipService members,
    OtherLeases leases,
    MonotonicClock clock,
    ILogger<RollCaller> logger
)
{
    private static readonly TimeSpan s_pause = TimeSpan.FromSeconds(1);
    private static readonly TimeSpan s_answer = TimeSpan.FromSeconds(2);

    public Task RunAsync(CancellationToken cancellation) =>
        Task.WhenAll(CallAsync(cancellation), FollowAsync(cancellation), LookAsync(cancellation));

    private async Task CallAsync(CancellationToken cancellation)
    {
        bool isInTrouble = false;
        while (!cancellation.IsCancellationRequested)
        {
            isInTrouble = !await TryCallAsync(atOnce: false, tell: !isInTrouble);
            await PauseAsync(cancellation);
        }
    }

    /// <summary>Tells of hosts that come and go.</summary>
    private async Task FollowAsync(CancellationToken cancellation)
    {
        Dictionary<SiloAddress, SiloStatus> known = [];
        try
        {
            await foreach (
                ClusterMembershipSnapshot now in members.MembershipUpdates.WithCancellation(cancellation)
            )
            {
                bool isChanged = false;
                foreach (ClusterMember member in now.Members.Values)
                {
                    if (
                        known.TryGetValue(member.SiloAddress, out SiloStatus before)
                        && before == member.Status
                    )
                        continue;
                    known[member.SiloAddress] = member.Status;
                    string status = $"{member.Status}";
                    logger.HostIs(member.Name, status);
                    isChanged = true;
                }
                if (isChanged)
                    await TryCallAsync(atOnce: true, tell: false);
            }
        }
        catch (OperationCanceledException) when (cancellation.IsCancellationRequested) { }
    }

    private async Task LookAsync(CancellationToken cancellation)
    {
        while (!cancellation.IsCancellationRequested)
        {
            foreach (string host in members.CurrentSnapshot.Members.Values.Select(one => one.Name).Distinct())
                await QuietlyAsync(leases.LookAsync(host));
            await PauseAsync(cancellation);
        }
    }

    private async Task<bool> TryCallAsync(bool atOnce, bool tell)
    {
        try
        {
            await grains.GetGrain<IRollCallGrain>("fleet").CallAsync(atOnce).WaitAsync(s_answer, clock.Time);
            return true;
        }
#pragma warning disable CA1031 // Its host may just have been lost; the next call finds another.
        catch (Exception failure)
#pragma warning restore CA1031
        {
            string trouble = failure.GetBaseException().Message;
            if (tell)
                logger.RollCallFailed(trouble);
            return false;
        }
    }

    private async Task PauseAsync(CancellationToken cancellation) =>
        await Task.Delay(s_pause, clock.Time, cancellation)
            .ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);

    private static async Task QuietlyAsync(Task look) =>
        await look.ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
}
