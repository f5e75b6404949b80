using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Hosting.Service;

/// <summary>
/// Tells the service manager once that all is watched, then how it goes, and at half of the time it allows that we are
/// alive: but only while every poll loop has come round lately. A controller that is away does not hold its loop up; a
/// loop that hangs is silence, and the manager starts us anew.
/// </summary>
/// <param name="alive">Told of our life as the manager is; null for nobody else.</param>
internal sealed class Heartbeat(
    Agent agent,
    ServiceManager manager,
    TimeProvider time,
    ILogger logger,
    AliveFile? alive = null
)
{
    /// <summary>Time between two looks where no manager asks for our life, and between two words on how it goes.</summary>
    private static readonly TimeSpan s_look = TimeSpan.FromSeconds(1);

    private static readonly TimeSpan s_firstRound = TimeSpan.FromMilliseconds(10);

    private string? _stuck;

    /// <summary>Goes on until <paramref name="cancellation"/>; then returns.</summary>
    public async Task RunAsync(CancellationToken cancellation)
    {
        try
        {
            // Alive from the beginning: the manager counts from there, too.
            Task staying = StayAliveAsync(cancellation);
            await WatchingAsync(cancellation);
            string told = agent.Summary();
            manager.Ready(told);
            using PeriodicTimer timer = new(s_look, time);
            while (await timer.WaitForNextTickAsync(cancellation))
            {
                string summary = agent.Summary();
                // What was not heard is told again.
                if (summary != told && manager.Status(summary))
                    told = summary;
            }
            await staying;
        }
        catch (OperationCanceledException) when (cancellation.IsCancellationRequested) { }
    }

    private async Task WatchingAsync(CancellationToken cancellation)
    {
        using PeriodicTimer timer = new(s_firstRound, time);
        while (!agent.HasComeRound)
            await timer.WaitForNextTickAsync(cancellation);
    }

    private async Task StayAliveAsync(CancellationToken cancellation)
    {
        using PeriodicTimer timer = new(manager.Watchdog / 2 ?? s_look, time);
        do
        {
            string? stuck = agent.StuckLoop();
            if (stuck is null)
            {
                manager.Alive();
                alive?.Write();
            }
            else if (stuck != _stuck)
                logger.LoopStuck(stuck);
            _stuck = stuck;
        } while (await timer.WaitForNextTickAsync(cancellation));
    }
}
