using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Regimes;

/// <summary>
/// Tells a machine that starts from hands that turn the roll: hands give the accumulator what they unwind, and the machine
/// draws it. By the film balance, drawn is what was unwound less what the accumulator gained since the unwind began to move.
/// </summary>
/// <param name="storageMillimeters">Film between empty and full, mm; NaN where unknown: an unwind that moves is a start.</param>
internal sealed class DrawnFilm(double storageMillimeters)
{
    /// <summary>Drawn for certain, mm: a little less than the shortest bag in the trade (common practice, no source).</summary>
    private const double LeastMillimeters = 60;

    /// <summary>And so much of what was unwound: a curved cam, bowed by 6 %, shows up to a quarter less than hands gave.</summary>
    private const double LeastShare = 0.25;

    /// <summary>For so long on end, s: a gap that jumps is no film.</summary>
    private const double LeastSeconds = 0.2;

    /// <summary>The unwind stands for good after so long, s.</summary>
    private const double OpenSeconds = 3;

    /// <summary>Fill at standstill is followed with this lag, s.</summary>
    private const double StillLagSeconds = 0.5;

    private const double MillimetersPerSecond = 1000.0 / 60; // of 1 m/min

    private double _fillAtRest = double.NaN;
    private double _unwound;
    private double _drawnSeconds;

    /// <summary>The machine draws.</summary>
    public bool IsCertain { get; private set; }

    /// <summary>Takes a reading at standstill.</summary>
    /// <param name="seconds">Since the reading before, s.</param>
    /// <param name="unwind">Unwind speed, m/min; against its usual direction negative.</param>
    /// <param name="fillPercent">NaN where unknown.</param>
    /// <param name="isMoving">The unwind moves.</param>
    /// <param name="stoodSeconds">How long it has stood else, s.</param>
    public void Next(double seconds, double unwind, double fillPercent, bool isMoving, double stoodSeconds)
    {
        if (double.IsNaN(storageMillimeters))
        {
            IsCertain = isMoving;
            return;
        }
        // An unwind that is held at once by its brake leaves the machine drawing from the dancer: the account stays open.
        // A dancer at its stop does not show film that hands give it.
        bool isOpen = (isMoving || (_unwound != 0 && stoodSeconds < OpenSeconds)) && !IsAtStop(fillPercent);
        if (!isOpen)
        {
            _unwound = _drawnSeconds = 0;
            IsCertain = false;
            if (double.IsNaN(_fillAtRest) || isMoving)
                _fillAtRest = fillPercent;
            else if (double.IsFinite(fillPercent))
                _fillAtRest += (fillPercent - _fillAtRest) * seconds / (seconds + StillLagSeconds);
            return;
        }
        _unwound += unwind * MillimetersPerSecond * seconds;
        double drawn = _unwound - ((fillPercent - _fillAtRest) * storageMillimeters / 100);
        // Not known (NaN) counts as drawn.
        double least = Math.Max(LeastMillimeters, LeastShare * _unwound);
        _drawnSeconds = drawn < least ? 0 : _drawnSeconds + seconds;
        IsCertain = _drawnSeconds >= LeastSeconds;
    }

    private static bool IsAtStop(double fillPercent) => fillPercent is < 0 or > 100;

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Drwn"u8);
        _fillAtRest = ledger.Keep(_fillAtRest);
        _unwound = ledger.Keep(_unwound);
        _drawnSeconds = ledger.Keep(_drawnSeconds);
        IsCertain = ledger.Keep(IsCertain);
    }
}
