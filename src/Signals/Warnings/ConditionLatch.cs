using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Warnings;

/// <summary>
/// One condition's memory: raised after its on-delay, cleared after its off-delay beyond its deadband, changed when
/// priority, side or first cause stay different for a while. So two transitions are never closer than these times. A trip
/// clears it at once, and what is taken for trips may come in a row: after them no third time within a minute is it raised.
/// </summary>
/// <remarks>
/// Delays count seen time: a hole in the readings adds at most <see cref="LongestStepSeconds"/>, for what was not seen
/// proves nothing. The vocabulary of delays and deadband is that of ISA-18.2.
/// </remarks>
/// <param name="settings">Delays, limit, deadband, switch.</param>
internal sealed class ConditionLatch(ConditionSettings settings)
{
    /// <summary>Most that one reading adds to a delay, s.</summary>
    public const double LongestStepSeconds = 0.5;

    /// <summary>How long something must stay different before it is told, s; doubled each time, so that a wavering cause does not flood.</summary>
    public const double ShortestChangeSeconds = 10;
    private const double LongestChangeSeconds = 600;

    /// <summary>Raised three times within this time it would chatter (ISA-18.2, from memory), s.</summary>
    public const double ChatterSeconds = 60;

    /// <summary>A side that goes on changing is told no oftener, s.</summary>
    private const double ShortestSideSeconds = 60;

    private HoldTimer _for;
    private HoldTimer _against;
    private HoldTimer _different;
    private HoldTimer _otherSide;
    private double _changeSeconds;
    private double _sideSeconds;
    private (Priority, Side, Cause) _candidate;
    private long _onsetBefore; // ticks
    private int _onsets; // 2 for more
    private bool _wasEnded; // by a trip

    public bool IsRaised { get; private set; }
    public long OnsetTicks { get; private set; }
    public int Step { get; private set; }
    public Priority Priority { get; private set; }
    public Side Side { get; private set; }
    public Cause Cause { get; private set; }

    /// <summary>Takes a reading's sign.</summary>
    /// <param name="ticks">Its time.</param>
    /// <param name="elapsedSeconds">Time since the reading before, s.</param>
    /// <param name="sign">What it says.</param>
    /// <param name="cause">The likeliest cause at present.</param>
    /// <returns>What happened; null almost always.</returns>
    public ConditionState? Next(long ticks, double elapsedSeconds, in ConditionSign sign, Cause cause)
    {
        double elapsed = Math.Min(elapsedSeconds, LongestStepSeconds);
        return IsRaised ? WhileRaised(elapsed, sign, cause) : WhileClear(ticks, elapsed, sign, cause);
    }

    /// <summary>Clears it at once, whatever the delays.</summary>
    /// <returns>False where it was not raised.</returns>
    public bool End()
    {
        _for = _against = _different = _otherSide = default;
        if (!IsRaised)
            return false;
        IsRaised = false;
        _wasEnded = true;
        Step++;
        return true;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Ltch"u8);
        _for = ledger.Keep(_for);
        _against = ledger.Keep(_against);
        _different = ledger.Keep(_different);
        _otherSide = ledger.Keep(_otherSide);
        _changeSeconds = ledger.Keep(_changeSeconds);
        _sideSeconds = ledger.Keep(_sideSeconds);
        _candidate = ledger.Keep(_candidate);
        IsRaised = ledger.Keep(IsRaised);
        OnsetTicks = ledger.Ticks(OnsetTicks);
        _onsetBefore = ledger.Ticks(_onsetBefore);
        _onsets = ledger.Keep(_onsets, 0, 2);
        _wasEnded = ledger.Keep(_wasEnded);
        Step = ledger.Keep(Step);
        Priority = ledger.Keep(Priority, Priority.High);
        Side = ledger.Keep(Side, Side.Empty);
        Cause = ledger.Keep(Cause, Cause.SetpointError);
    }

    /// <summary>Takes over what was told last; whatever was on its way begins anew.</summary>
    public void Recall(ConditionTransition told, Cause cause)
    {
        _for = _against = _different = _otherSide = default;
        _changeSeconds = ShortestChangeSeconds;
        _sideSeconds = settings.OnDelaySeconds;
        IsRaised = told.State != ConditionState.Cleared;
        OnsetTicks = told.OnsetTicks;
        _onsets = 1;
        Step = told.Step;
        Publish((told.Priority, told.Side, cause));
    }

    private ConditionState? WhileClear(long ticks, double elapsed, in ConditionSign sign, Cause cause)
    {
        double held = _for.Next(settings.Enabled && sign.Excess >= 0, elapsed);
        if (held < settings.OnDelaySeconds || WouldChatter(ticks))
            return null;
        IsRaised = true;
        (_onsetBefore, OnsetTicks) = (OnsetTicks, ticks);
        _onsets = Math.Min(_onsets + 1, 2);
        Step = 0;
        _for = _against = _different = _otherSide = default;
        _changeSeconds = ShortestChangeSeconds;
        _sideSeconds = settings.OnDelaySeconds;
        Publish((sign.Priority, sign.Side, cause));
        return ConditionState.Raised;
    }

    private bool WouldChatter(long ticks) =>
        _wasEnded && _onsets == 2 && ticks - _onsetBefore < ChatterSeconds * TimeSpan.TicksPerSecond;

    private ConditionState? WhileRaised(double elapsed, in ConditionSign sign, Cause cause)
    {
        if (_against.Next(sign.Excess < -settings.Deadband, elapsed) >= settings.OffDelaySeconds)
        {
            IsRaised = _wasEnded = false;
            _for = default;
            Step++;
            return ConditionState.Cleared;
        }
        bool speaks = sign.Excess >= 0;
        // While it is raised, a cause that becomes clear is told though its sign is silent for a moment.
        if (!speaks && cause == Cause.Unknown)
            return null;
        // The other side is a warning of its own and waits no longer than the first one did.
        bool isOtherSide = speaks && sign.Side != Side && sign.Side != Side.None;
        if (_otherSide.Next(isOtherSide, elapsed) >= _sideSeconds)
        {
            _sideSeconds = Math.Clamp(2 * _sideSeconds, ShortestSideSeconds, LongestChangeSeconds);
            return Change((sign.Priority, sign.Side, cause));
        }
        (Priority, Side, Cause) now = (speaks ? sign.Priority : Priority, Side, cause);
        bool sameAsBefore = now == _candidate;
        _candidate = now;
        bool isDifferent = now != (Priority, Side, Cause);
        if (!sameAsBefore)
            _different = default;
        if (_different.Next(isDifferent, elapsed) < _changeSeconds)
            return null;
        _changeSeconds = Math.Min(2 * _changeSeconds, LongestChangeSeconds);
        return Change(now);
    }

    private ConditionState Change((Priority, Side, Cause) now)
    {
        Publish(now);
        Step++;
        _different = _otherSide = default;
        return ConditionState.Changed;
    }

    private void Publish((Priority, Side, Cause) now)
    {
        _candidate = now;
        (Priority, Side, Cause) = now;
    }
}
