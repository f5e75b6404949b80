using Dancerwatch.EdgeAgent.Commands.Replays;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.EdgeAgent.Reports;
using Dancerwatch.EdgeAgent.Watching;

namespace Dancerwatch.EdgeAgent.Commands.Reporting;

/// <summary>Leads one machine's history to a report, and says meanwhile how far it is.</summary>
/// <param name="settings">The configuration.</param>
/// <param name="machine">One of its machines.</param>
/// <param name="input">Directory of recordings, or a trace.</param>
internal sealed class ReportRun(
    AgentSettings settings,
    WatchedMachineSettings machine,
    string input,
    TextWriter error
)
{
    /// <summary>So long before the period readings are looked at already: windows are full when it begins.</summary>
    private static readonly TimeSpan s_warmUp = TimeSpan.FromMinutes(20);

    /// <summary>When a roll was on the machine.</summary>
    /// <param name="roll">Counted back from the latest in the period, which is 1.</param>
    /// <returns>Null where there are not so many; that was then said.</returns>
    /// <exception cref="IOException">The history cannot be read.</exception>
    public async Task<Period?> FindRollAsync(int roll, Period period, CancellationToken cancellation)
    {
        using Histories histories = Open(period);
        RollFinder finder = new(machine.Machine);
        await FollowAsync(
            histories,
            history =>
            {
                Func<long, DateTimeOffset> toWallClock = history.ToWallClock;
                return (in reading) => finder.Take(reading, toWallClock);
            },
            cancellation
        );
        if (finder.Of(roll) is { } found)
            return found;
        await error.WriteLineAsync(
            finder.Count == 0
                ? $"There is no reading of {machine.Name} in that period, and so no roll. Look at what {input} holds."
                : $"--roll is {roll}, and {input} holds {finder.Count} of {machine.Name}. Allowed: 1, the latest, to {finder.Count}."
        );
        return null;
    }

    /// <returns>Null where the period holds no reading.</returns>
    /// <exception cref="IOException">The history cannot be read.</exception>
    public async Task<MachineReport?> CollectAsync(ReportPeriod asked, CancellationToken cancellation)
    {
        DateTimeOffset from = asked.Period.From;
        DateTimeOffset warm = from - DateTimeOffset.MinValue > s_warmUp ? from - s_warmUp : from;
        using Histories histories = Open(asked.Period with { From = warm });
        ReportCollector? collector = null;
        await FollowAsync(
            histories,
            history =>
            {
                collector = new ReportCollector(
                    MachinePlace.Of(settings, machine),
                    machine.Machine,
                    history.ToWallClock,
                    from,
                    asked.Change
                );
                return collector.Take;
            },
            cancellation
        );
        return collector?.Finish(asked.Words, asked.Zone, [.. histories.Findings]);
    }

    private Histories Open(Period period) => new(input, [machine], settings.Machines, period);

    private Task FollowAsync(
        Histories histories,
        Func<IHistory, ReadingTaker> begin,
        CancellationToken cancellation
    ) =>
        new ProgressReport(error, TimeProvider.System).FollowAsync(
            Task.Run(() => histories.ReadAsync(begin, cancellation), cancellation),
            () => histories.Progress,
            () => histories.Rows
        );
}
