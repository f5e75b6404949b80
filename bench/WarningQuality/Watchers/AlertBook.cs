using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.Bench.WarningQuality.Watchers;

/// <summary>A warning was raised, or went over to the other side.</summary>
/// <param name="Seconds">When.</param>
/// <param name="Condition">What of; repeated soon, it is chatter.</param>
/// <param name="Side">Where the trip is expected.</param>
/// <param name="Causes">Why; default where no cause is told.</param>
/// <param name="IsTrue">True on a healthy machine too: its roll is ending.</param>
internal readonly record struct Alert(
    double Seconds,
    string Condition,
    Side Side,
    CauseRanking Causes = default,
    bool IsTrue = false
);

/// <summary>What one watcher said of one run.</summary>
/// <param name="name">The watcher.</param>
internal sealed class AlertBook(string name)
{
    private readonly List<Alert> _alerts = [];
    private readonly Dictionary<Condition, Side> _sides = [];

    public string Name => name;
    public IReadOnlyList<Alert> Alerts => _alerts;

    /// <summary>Each change that would have been published, with when.</summary>
    public List<(double Seconds, ConditionTransition Told)> Told { get; } = [];

    /// <summary>Every ten seconds of running: the probability of a trip within five minutes.</summary>
    public List<(double Seconds, double Probability)> Probabilities { get; } = [];

    /// <summary>Every ten seconds in which a roll turn was seen: its rate over the true one, less 1.</summary>
    public List<double> TurnErrors { get; } = [];

    public void Note(in Alert alert) => _alerts.Add(alert);

    public void Note(ConditionTransition told, double now, bool isTrue)
    {
        Told.Add((now, told));
        Side before = _sides.GetValueOrDefault(told.Condition);
        _sides[told.Condition] = told.State == ConditionState.Cleared ? Side.None : told.Side;
        // A change of side is a warning of its own: somebody looks at the other end.
        bool isWarning =
            told.State == ConditionState.Raised
            || (told.State == ConditionState.Changed && told.Side != before);
        if (isWarning)
            _alerts.Add(new Alert(now, told.Condition.ToString(), told.Side, told.Causes, isTrue));
    }
}
