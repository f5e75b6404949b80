using Dancerwatch.EdgeAgent.Commands.Replays;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.Signals.Tuning;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Commands.Tuning;

/// <summary>Tries all candidates on all machines of a history, the machines side by side.</summary>
internal sealed class Sweep
{
    private readonly MachineSweep?[] _machines;
    private readonly Func<int, MachineSweep> _begin;
    private readonly int _candidates;

    public Sweep(
        IReadOnlyList<WatchedMachineSettings> machines,
        IReadOnlyList<Candidate> candidates,
        TuningRules rules
    )
    {
        _machines = new MachineSweep?[machines.Count];
        _candidates = candidates.Count;
        _begin = place =>
        {
            WarningSettings present = machines[place].Machine.Warnings;
            return new(
                machines[place].Machine,
                [.. candidates.Select(candidate => candidate.Of(present))],
                rules
            );
        };
    }

    /// <summary>Trips that count nowhere; see <see cref="MachineSweep.UnderWay"/>.</summary>
    public int UnderWay => _machines.Sum(machine => machine?.UnderWay ?? 0);

    public Task RunAsync(Histories histories, CancellationToken cancellation) =>
        histories.ReadAsync(
            history =>
            {
                MachineSweep sweep = _machines[history.Machine] = _begin(history.Machine);
                return (in reading) => sweep.Take(reading);
            },
            cancellation
        );

    /// <summary>How each candidate did on all machines together, in their order.</summary>
    public IReadOnlyList<SettingScore> Scores()
    {
        IReadOnlyList<SettingScore>[] byMachine =
        [
            .. _machines.OfType<MachineSweep>().Select(machine => machine.Scores()),
        ];
        return
        [
            .. Enumerable
                .Range(0, _candidates)
                .Select(candidate => SettingScore.Of(byMachine.Select(scores => scores[candidate]))),
        ];
    }
}
