using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;

namespace Dancerwatch.Signals.Roll;

/// <summary>
/// The roll's diameter by the best witness there is: its tag; else film speed over the turns seen in the fill; else a
/// diameter known earlier, less the film used since. What rests on an assumption says so by its trust. Takes uneven times
/// and missing signals. Not thread-safe; allocates nothing per reading.
/// </summary>
public sealed class RollTracker
{
    /// <summary>How far a measured diameter may lie outside core and fresh roll and still be believed, share.</summary>
    private const double BelievedShare = 0.1;

    /// <summary>Threading a stopped dancer means a fresh roll only when the old one is at most this full, share of its film.</summary>
    private const double NearlyUsedShare = 0.2;

    private const double TagTrust = 1;
    private const double TurnsTrust = 0.9;
    private const double FreshRollTrust = 0.8;
    private const double PresumedRollTrust = 0.3;

    private readonly RollSettings _settings;
    private readonly FilmMeter _meter = new();
    private readonly MeanSpeed _speed = new();
    private long _ticks;
    private bool _isStarted;
    private bool _wasThreaded;
    private double _rollBeganMeters;
    private double _knownDiameter = double.NaN;
    private double _knownAtMeters;
    private double _knownTrust;
    private RollEstimate _last;

    /// <exception cref="ArgumentException">A setting cannot be used; the message names it, its value, what is allowed and what to try.</exception>
    public RollTracker(RollSettings settings)
    {
        ArgumentNullException.ThrowIfNull(settings);
        RollRules.Check(settings);
        _settings = settings;
    }

    /// <summary>The roll at a reading.</summary>
    /// <param name="reading">The reading.</param>
    /// <param name="regime">The regime at it.</param>
    /// <param name="seenTurnHz">Turns of the roll a second as seen in the fill by the reading before; NaN where none are.</param>
    public ref readonly RollEstimate Next(in Reading reading, in RegimeEstimate regime, double seenTurnHz)
    {
        if (_isStarted && reading.Ticks <= _ticks)
            return ref _last;
        _isStarted = true;
        _ticks = reading.Ticks;
        _meter.Next(reading);
        _speed.Next(reading, regime);
        FollowRollChanges(regime);
        RollSource source = Measure(reading, regime, seenTurnHz);
        _last = Describe(source);
        return ref _last;
    }

    /// <summary>Carries its memory.</summary>
    internal void Keep(Ledger ledger)
    {
        ledger.Open("Roll"u8);
        _meter.Keep(ledger);
        _speed.Keep(ledger);
        _ticks = ledger.Ticks(_ticks);
        _isStarted = ledger.Keep(_isStarted);
        _wasThreaded = ledger.Keep(_wasThreaded);
        _rollBeganMeters = ledger.Keep(_rollBeganMeters);
        _knownDiameter = ledger.Keep(_knownDiameter);
        _knownAtMeters = ledger.Keep(_knownAtMeters);
        _knownTrust = ledger.Keep(_knownTrust);
        _last = ledger.Keep(_last);
    }

    /// <summary>Nobody watched for so long that the roll may be another one.</summary>
    internal void Forget() => _knownDiameter = double.NaN;

    private void FollowRollChanges(in RegimeEstimate regime)
    {
        if (regime.RollChanged)
            BeginRoll(FreshRollTrust);
        _wasThreaded |= regime.Regime == Regime.RollChange && !regime.RollChanged;
        bool isRestart = regime is { Changed: true, Regime: Regime.Starting };
        if (isRestart && _wasThreaded && IsNearlyUsedOrUnknown())
            BeginRoll(PresumedRollTrust);
        if (isRestart || regime.RollChanged)
            _wasThreaded = false;
    }

    private void BeginRoll(double trust)
    {
        _rollBeganMeters = _meter.Meters;
        Know(_settings.FullDiameterMillimeters, trust);
    }

    private void Know(double diameter, double trust)
    {
        _knownDiameter = diameter;
        _knownAtMeters = _meter.Meters;
        _knownTrust = trust;
    }

    private RollSource Measure(in Reading reading, in RegimeEstimate regime, double seenTurnHz)
    {
        double tag = reading[Signal.RollDiameter];
        if (IsBelievable(tag))
        {
            Know(tag, TagTrust);
            return RollSource.Tag;
        }
        double turns = FilmGeometry.DiameterAt(_speed.MetersPerMinute, seenTurnHz);
        if (regime.CountsForStatistics && IsBelievable(turns))
        {
            Know(turns, TurnsTrust);
            return RollSource.Turns;
        }
        return RollSource.FilmUsed;
    }

    private RollEstimate Describe(RollSource source)
    {
        double diameter = DiameterNow();
        double left = LengthLeft(diameter);
        bool isKnown = double.IsFinite(diameter);
        double speed = _speed.MetersPerMinute;
        return new RollEstimate(
            diameter,
            isKnown ? FilmGeometry.TurnHz(speed, diameter) : double.NaN,
            left,
            speed > 0 ? left / speed : double.NaN,
            _meter.Meters - _rollBeganMeters,
            isKnown ? source : RollSource.None
        )
        {
            Trust = isKnown ? _knownTrust : 0,
        };
    }

    /// <summary>
    /// The diameter known last, less film used since. NaN where thickness is not known and film was used, and where more was
    /// used than the roll held: then a roll change was missed, and nothing is known until the next one.
    /// </summary>
    private double DiameterNow()
    {
        double used = _meter.Meters - _knownAtMeters;
        double diameter =
            used == 0
                ? _knownDiameter
                : FilmGeometry.DiameterAfter(_knownDiameter, used, _settings.FilmThicknessMicrometers);
        return diameter >= _settings.CoreDiameterMillimeters * (1 - BelievedShare) ? diameter : double.NaN;
    }

    private double LengthLeft(double diameter) =>
        FilmGeometry.LengthMeters(
            Math.Max(diameter, _settings.CoreDiameterMillimeters),
            _settings.CoreDiameterMillimeters,
            _settings.FilmThicknessMicrometers
        );

    private bool IsNearlyUsedOrUnknown() =>
        !(LengthLeft(DiameterNow()) > NearlyUsedShare * LengthLeft(_settings.FullDiameterMillimeters));

    private bool IsBelievable(double diameter) =>
        diameter >= _settings.CoreDiameterMillimeters * (1 - BelievedShare)
        && double.IsFinite(diameter)
        && !(diameter > _settings.FullDiameterMillimeters * (1 + BelievedShare));
}
