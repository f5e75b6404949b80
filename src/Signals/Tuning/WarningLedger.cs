using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.Signals.Tuning;

/// <summary>What became of the warnings of one setting on one machine.</summary>
internal sealed class WarningLedger(TuningRules rules)
{
    private readonly List<Warning> _pending = [];
    private readonly List<double> _leads = [];

    /// <summary>For each trip that counts, in order: seconds from the first warning that foretold it; NaN where it was missed.</summary>
    public IReadOnlyList<double> Leads => _leads;

    /// <summary>Warnings that a trip on their side followed.</summary>
    public int True { get; private set; }

    /// <summary>Warnings that ended by themselves, and no trip came.</summary>
    public int False { get; private set; }

    /// <summary>Warnings of which that cannot be told: somebody may have done something about it, or the readings end.</summary>
    public int Unsettled { get; private set; }

    public void Note(IReadOnlyList<ConditionTransition> transitions)
    {
        for (int i = 0; i < transitions.Count; i++)
            Note(transitions[i]);
    }

    /// <summary>The machine trips.</summary>
    /// <param name="freshFrom">Warnings raised before are old: the machine was started since. Ticks.</param>
    /// <param name="counts">Whether a warning could have come.</param>
    public void Trip(Side side, long ticks, long freshFrom, bool counts)
    {
        Settle(ticks);
        double lead = double.NaN;
        for (int i = _pending.Count - 1; i >= 0; i--)
        {
            Warning warning = _pending[i];
            bool foretold = warning.Raised < ticks && Fits(warning.Side, side);
            if (!foretold)
                continue;
            if (warning.Side != Side.None && warning.Raised > freshFrom)
                lead = Math.Max(double.IsNaN(lead) ? 0 : lead, Seconds(ticks - warning.Raised));
            True++;
            _pending.RemoveAt(i);
        }
        if (counts)
            _leads.Add(lead);
        Handle();
    }

    /// <summary>Somebody may have done something about what is raised now.</summary>
    public void Handle()
    {
        foreach (Warning warning in _pending)
            warning.IsHandled |= warning.Cleared is null;
    }

    /// <summary>From here on nothing can be told of what is pending.</summary>
    public void Lose()
    {
        Unsettled += _pending.Count;
        _pending.Clear();
    }

    /// <summary>Decides on warnings whose time is over.</summary>
    public void Settle(long ticks)
    {
        for (int i = _pending.Count - 1; i >= 0; i--)
        {
            Warning warning = _pending[i];
            if (warning.Cleared is not { } cleared || Seconds(ticks - cleared) <= rules.HorizonSeconds)
                continue;
            if (warning.IsHandled)
                Unsettled++;
            else
                False++;
            _pending.RemoveAt(i);
        }
    }

    private void Note(ConditionTransition told)
    {
        // These are told for themselves: a roll does end, readings did fail. They foretell no trip.
        if (told.Condition is Condition.RollEnding or Condition.DataLost)
            return;
        Warning? open = _pending.FindLast(one => one.Condition == told.Condition && one.Cleared is null);
        bool hasTurned = open is not null && told.State == ConditionState.Changed && told.Side != open.Side;
        if (told.State == ConditionState.Cleared || hasTurned)
            open?.Cleared = told.Ticks;
        // A change of side is a warning of its own: somebody looks at the other end.
        if (told.State == ConditionState.Raised || hasTurned)
            _pending.Add(new Warning(told.Condition, told.Side, told.Ticks));
    }

    private static bool Fits(Side warning, Side trip) =>
        warning == trip || warning == Side.None || trip == Side.None;

    private static double Seconds(long ticks) => (double)ticks / TimeSpan.TicksPerSecond;

    private sealed class Warning(Condition condition, Side side, long raised)
    {
        public Condition Condition => condition;
        public Side Side => side;
        public long Raised => raised;
        public long? Cleared { get; set; }
        public bool IsHandled { get; set; }
    }
}
