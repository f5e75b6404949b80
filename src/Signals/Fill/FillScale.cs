using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Fill;

/// <summary>
/// From gap to fill: <c>100 (gap - gapAtEmpty) / (gapAtFull - gapAtEmpty)</c>, %, then the cam's curve where one is given;
/// never clamped. Which way the sensor reads follows from the set points, so set points taught the wrong way round cannot
/// be told from a sensor mounted the other way. Holds the set points of the latest reading. Not thread-safe; allocates
/// nothing per reading.
/// </summary>
public sealed class FillScale
{
    /// <summary>Steps of the gap that must lie between the set points: with fewer, one step is more than 10 % of fill.</summary>
    public const int FewestSteps = 10;

    private readonly FillSettings _settings;
    private readonly CamCurve? _cam;
    private bool _emptyComesFromTag;
    private bool _fullComesFromTag;
    private double _gapAtEmpty;
    private double _gapAtFull;
    private double _usableGapAtEmpty;
    private double _usableGapAtFull;
    private double _targetPercent;
    private bool _hasUsableSetPoints;

    /// <exception cref="ArgumentException">A setting cannot be used; the message names it, its value, what is allowed and what to try.</exception>
    public FillScale(FillSettings settings)
    {
        ArgumentNullException.ThrowIfNull(settings);
        FillRules.Check(settings);
        _settings = settings;
        _cam = settings.Cam.Count == 0 ? null : new CamCurve(settings.Cam);
        _gapAtEmpty = settings.GapAtEmpty;
        _gapAtFull = settings.GapAtFull;
        _targetPercent = settings.TargetPercent;
    }

    /// <summary>
    /// Fill of one reading. Set points follow their tags at once. A set point is the configured one until its tag was read
    /// for the first time; from then on a tag that is not read, or set points too close to each other, leave no fill: an old
    /// set point is never guessed to hold. A failed read changes nothing. (A target that is not read keeps its value; it changes no fill.)
    /// </summary>
    public FillEstimate Next(in Reading reading)
    {
        if (reading.Quality == Quality.Bad)
        {
            // Nothing was read, so nothing is known to be other than it was.
            return new FillEstimate(
                double.NaN,
                _gapAtEmpty,
                _gapAtFull,
                _targetPercent,
                FillFault.NoGap,
                SetPointsChanged: false
            );
        }
        _gapAtEmpty = SetPoint(reading[Signal.GapAtEmpty], _settings.GapAtEmpty, ref _emptyComesFromTag);
        _gapAtFull = SetPoint(reading[Signal.GapAtFull], _settings.GapAtFull, ref _fullComesFromTag);
        if (double.IsFinite(reading[Signal.TargetFill]))
            _targetPercent = reading[Signal.TargetFill];

        bool isUsable = AreUsable(_gapAtEmpty, _gapAtFull, _settings.GapResolution);
        bool isChanged = isUsable && Remember();

        double gap = reading[Signal.Gap];
        FillFault fault = FaultOf(gap, isUsable);
        double percent = fault is FillFault.None or FillFault.OutOfSensorRange ? PercentAt(gap) : double.NaN;
        return new FillEstimate(percent, _gapAtEmpty, _gapAtFull, _targetPercent, fault, isChanged);
    }

    /// <summary>Fill, %, that a gap means by the set points of the latest reading; NaN where they are not usable.</summary>
    public double PercentAt(double gap)
    {
        if (!AreUsable(_gapAtEmpty, _gapAtFull, _settings.GapResolution))
            return double.NaN;
        double straight = 100 * (gap - _gapAtEmpty) / (_gapAtFull - _gapAtEmpty);
        return _cam is null ? straight : _cam.TruePercent(straight);
    }

    /// <summary>Fill rises as the gap rises, by the set points of the latest reading.</summary>
    public bool RisesWithGap => _gapAtFull > _gapAtEmpty;

    /// <summary>Carries its memory.</summary>
    internal void Keep(Ledger ledger)
    {
        ledger.Open("Scal"u8);
        _emptyComesFromTag = ledger.Keep(_emptyComesFromTag);
        _fullComesFromTag = ledger.Keep(_fullComesFromTag);
        _gapAtEmpty = ledger.Keep(_gapAtEmpty);
        _gapAtFull = ledger.Keep(_gapAtFull);
        _usableGapAtEmpty = ledger.Keep(_usableGapAtEmpty);
        _usableGapAtFull = ledger.Keep(_usableGapAtFull);
        _targetPercent = ledger.Keep(_targetPercent);
        _hasUsableSetPoints = ledger.Keep(_hasUsableSetPoints);
    }

    /// <summary>Remembers usable set points. True where others were usable before.</summary>
    private bool Remember()
    {
        bool isChanged =
            _hasUsableSetPoints && (_gapAtEmpty != _usableGapAtEmpty || _gapAtFull != _usableGapAtFull);
        _hasUsableSetPoints = true;
        _usableGapAtEmpty = _gapAtEmpty;
        _usableGapAtFull = _gapAtFull;
        return isChanged;
    }

    internal static bool AreUsable(double gapAtEmpty, double gapAtFull, double resolution) =>
        Math.Abs(gapAtFull - gapAtEmpty) is var span
        && double.IsFinite(span)
        && span >= FewestSteps * resolution;

    private static double SetPoint(double tag, double configured, ref bool comesFromTag)
    {
        comesFromTag |= !double.IsNaN(tag);
        return comesFromTag ? tag : configured;
    }

    private FillFault FaultOf(double gap, bool isUsable)
    {
        if (!double.IsFinite(gap))
            return FillFault.NoGap;
        if (!isUsable)
            return FillFault.BadSetPoints;
        return gap < _settings.GapMinimum || gap > _settings.GapMaximum
            ? FillFault.OutOfSensorRange
            : FillFault.None;
    }
}
