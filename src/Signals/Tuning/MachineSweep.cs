using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.Signals.Tuning;

/// <summary>
/// Tries several settings of the warnings on one machine's history, all in one pass: they share everything but the last step.
/// Trips are the machine's own, as <see cref="RegimeTracker"/> finds them, and so the same for all settings. One thread.
/// </summary>
public sealed class MachineSweep
{
    private readonly TuningRules _rules;
    private readonly MachineAssessor _assessor;
    private readonly WarningLedger[] _ledgers;
    private readonly double _underWaySeconds;
    private double _runningSeconds;
    private long _lastTicks;
    private long _startedTicks;
    private long _nextSettle;
    private bool _any;
    private bool _isStopHandled;
    private bool _stands;

    /// <param name="machine">The machine.</param>
    /// <param name="candidates">Settings to try; at least one.</param>
    /// <exception cref="ArgumentException">A setting cannot be used; the message names it.</exception>
    public MachineSweep(MachineSettings machine, IReadOnlyList<WarningSettings> candidates, TuningRules rules)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(candidates);
        ArgumentNullException.ThrowIfNull(rules);
        _rules = rules;
        _assessor = new MachineAssessor(machine with { Warnings = candidates[0] }, [.. candidates.Skip(1)]);
        _ledgers = [.. candidates.Select(_ => new WarningLedger(rules))];
        _underWaySeconds = machine.Fill.TripHoldSeconds + rules.UnderWaySeconds;
    }

    /// <summary>Trips that were under way when the machine was started: nothing could have foretold them, and they count nowhere.</summary>
    public int UnderWay { get; private set; }

    /// <summary>Takes the next reading.</summary>
    /// <returns>What the first of the settings makes of it, overwritten by the next reading; null where it was ignored.</returns>
    public Assessment? Take(in Reading reading)
    {
        long ignored = _assessor.IgnoredReadings;
        Assessment a = _assessor.Process(reading);
        if (_assessor.IgnoredReadings != ignored)
            return null;
        double elapsed = _any ? Seconds(a.Ticks - _lastTicks) : 0;
        if (!_any)
            _startedTicks = a.Ticks;
        (_any, _lastTicks) = (true, a.Ticks);
        if (elapsed > _rules.HoleSeconds)
        {
            foreach (WarningLedger ledger in _ledgers)
                ledger.Lose();
        }
        Follow(a, elapsed);
        _ledgers[0].Note(a.Transitions);
        for (int i = 1; i < _ledgers.Length; i++)
            _ledgers[i].Note(_assessor.TransitionsOf(i - 1));
        if (a.Ticks >= _nextSettle)
        {
            _nextSettle = a.Ticks + TimeSpan.TicksPerMinute;
            foreach (WarningLedger ledger in _ledgers)
                ledger.Settle(a.Ticks);
        }
        return a;
    }

    /// <summary>What became of each setting, in their order. To be asked once the history is over.</summary>
    public IReadOnlyList<SettingScore> Scores()
    {
        foreach (WarningLedger ledger in _ledgers)
        {
            ledger.Settle(_lastTicks);
            ledger.Lose();
        }
        return
        [
            .. _ledgers.Select(ledger => new SettingScore(
                ledger.Leads,
                ledger.False,
                ledger.Unsettled,
                _runningSeconds / 3600
            )),
        ];
    }

    private void Follow(Assessment a, double elapsed)
    {
        RegimeEstimate regime = a.Regime;
        if (regime.Regime == Regime.Running)
            _runningSeconds += Math.Min(elapsed, 1);
        if (regime is { Regime: Regime.Tripped, Changed: true })
            Trip(a);
        bool stands = regime.Regime is Regime.Stopped or Regime.Tripped or Regime.RollChange;
        if (_stands && !stands)
            _startedTicks = a.Ticks;
        if (!stands)
            _isStopHandled = false;
        _stands = stands;
        bool isLongStop = stands && !_isStopHandled && regime.Seconds >= _rules.StopSeconds;
        if (!isLongStop && !regime.ProductChanged && !regime.RollChanged && !a.Fill.SetPointsChanged)
            return;
        _isStopHandled |= isLongStop;
        foreach (WarningLedger ledger in _ledgers)
            ledger.Handle();
    }

    private void Trip(Assessment a)
    {
        bool counts = Seconds(a.Ticks - _startedTicks) > _underWaySeconds;
        if (!counts)
            UnderWay++;
        foreach (WarningLedger ledger in _ledgers)
            ledger.Trip(a.Regime.TripSide, a.Ticks, _startedTicks, counts);
    }

    private static double Seconds(long ticks) => (double)ticks / TimeSpan.TicksPerSecond;
}
