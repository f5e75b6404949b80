using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// What the machine draws where the line's speed is not read: what the unwind gave over the first blocks of one rate, as long
/// as the machine cycles at that rate and its bags are no others. Memory fixed.
/// </summary>
internal sealed class UsualDraw
{
    /// <summary>An unwind that runs further off its usual speed is in trouble that shows otherwise.</summary>
    private const double SameSpeed = 0.15;

    /// <summary>Blocks of whole cycles whose lengths differ by less are of one rate.</summary>
    private const double SameRate = 0.003;

    private readonly Usual _unwind = new();
    private readonly BagStep _bag = new();
    private double _draw = double.NaN;
    private double _seconds = double.NaN; // of its blocks

    /// <inheritdoc cref="BagStep.Unjudged"/>
    public int Unjudged => _bag.Unjudged;

    /// <summary>Another product: to be learned anew.</summary>
    public void Clear()
    {
        _unwind.Clear();
        _draw = _seconds = double.NaN;
    }

    /// <inheritdoc cref="BagStep.Clear"/>
    public void Trip() => _bag.Clear();

    /// <inheritdoc cref="BagStep.Break"/>
    public void Break() => _bag.Break();

    /// <summary>Takes a block.</summary>
    /// <param name="percentPerMeterPerMinute">What 1 m/min more in than out does to fill, %/s.</param>
    /// <param name="isOther">True once, when bags have been others for some time: the draw is learned anew.</param>
    /// <returns>m/min; NaN where it is not known.</returns>
    public double Next(in FilmBlock block, double percentPerMeterPerMinute, out bool isOther)
    {
        isOther = _bag.IsOther(block, percentPerMeterPerMinute);
        if (isOther)
            Clear();
        bool isSameRate = Math.Abs((block.DurationSeconds / _seconds) - 1) < SameRate;
        // Learned once: were it followed, the usual difference would have to follow it.
        if (double.IsNaN(_draw))
            Learn(block, isSameRate);
        return isSameRate && Math.Abs((block.MeanUnwind / _draw) - 1) < SameSpeed ? _draw : double.NaN;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("UDrw"u8);
        _unwind.Keep(ledger);
        _bag.Keep(ledger);
        _draw = ledger.Keep(_draw);
        _seconds = ledger.Keep(_seconds);
    }

    private void Learn(in FilmBlock block, bool isSameRate)
    {
        if (!isSameRate)
        {
            _unwind.Clear();
            _seconds = block.DurationSeconds;
        }
        _unwind.Add(block.MeanUnwind);
        _draw = _unwind.Value;
    }
}
