using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// Tells another bag where the line's speed is not read: the unwind runs faster or slower for good, and fill, as it is read,
/// stands where it stood. A sensor that drifts can make the unwind step too, but only through fill: the loop answers what it
/// reads off target, and its answer takes seconds. An unwind that steps without that was told to by the line.
/// </summary>
internal sealed class BagStep
{
    private const int Few = 4;

    /// <summary>A step, as a share: means of few blocks keep to half of it while nothing changes.</summary>
    private const double Least = 0.01;

    /// <summary>After a step, so many blocks until it is judged.</summary>
    private const int Judged = 12;

    /// <summary>After a start the accumulator is filled first, blocks.</summary>
    private const int Settling = 30;

    /// <summary>
    /// A loop that makes the unwind give more or less sees fill off by as much as that amounts to in its own time, 1 / gain:
    /// 2.5 s and more (common practice, no source), and over a quarter of that while its integral takes the rest over, s.
    /// </summary>
    private const double QuickestLoopSeconds = 0.7;

    /// <summary><see cref="Unjudged"/> at most, after a stop.</summary>
    public const int MostUnjudged = (2 * Few) + Settling + Judged;

    private readonly (double Unwind, double Fill)[] _ring = new (double, double)[Judged + (2 * Few)];
    private int _count;
    private int _next;
    private int _settled;
    private int _sinceStep;
    private (double Unwind, double Fill) _before; // the step

    /// <summary>So many of the newest blocks follow a step that is not judged yet.</summary>
    public int Unjudged { get; private set; }

    /// <summary>The machine tripped: what the unwind did on the way there is nothing to compare with.</summary>
    public void Clear() => _count = _settled = _sinceStep = Unjudged = 0;

    /// <summary>The machine stopped: that is when bags are changed.</summary>
    public void Break()
    {
        _settled = 0;
        if (_count == _ring.Length)
            Begin(Mean(Few, Judged)); // the newest may be of the stop's own ramp
    }

    /// <summary>Takes a block.</summary>
    /// <param name="percentPerMeterPerMinute">What 1 m/min more in than out does to fill, %/s.</param>
    /// <returns>True once, when bags have been others for some time.</returns>
    public bool IsOther(in FilmBlock block, double percentPerMeterPerMinute)
    {
        if (_sinceStep > 0)
            Unjudged++;
        if (_settled < Settling)
        {
            _settled++;
            return false;
        }
        _ring[_next] = (block.MeanUnwind, block.MeanFill);
        _next = (_next + 1) % _ring.Length;
        _count = Math.Min(_count + 1, _ring.Length);
        if (_count < _ring.Length)
            return false;
        if (_sinceStep == 0)
        {
            if (Math.Abs((Mean(0, Few).Unwind / Mean(Few, Few).Unwind) - 1) > Least)
                Begin(Mean(2 * Few, Judged));
            return false;
        }
        if (++_sinceStep < Judged)
            return false;
        _sinceStep = Unjudged = 0;
        bool isOther = IsOther(Mean(0, Judged - Few), percentPerMeterPerMinute);
        if (isOther)
            _count = 0;
        return isOther;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Bag "u8);
        ledger.Keep(_ring.AsSpan());
        _count = ledger.Keep(_count, 0, _ring.Length);
        _next = ledger.Keep(_next, 0, _ring.Length - 1);
        _settled = ledger.Keep(_settled, 0, Settling);
        _sinceStep = ledger.Keep(_sinceStep, 0, Judged);
        Unjudged = ledger.Keep(Unjudged, 0, MostUnjudged);
        _before = ledger.Keep(_before);
    }

    private void Begin((double Unwind, double Fill) before) =>
        (_sinceStep, Unjudged, _before) = (1, 2 * Few, before);

    private bool IsOther((double Unwind, double Fill) now, double percentPerMeterPerMinute)
    {
        double step = Math.Abs(now.Unwind - _before.Unwind);
        return step > Least * _before.Unwind
            && Math.Abs(now.Fill - _before.Fill) < QuickestLoopSeconds * percentPerMeterPerMinute * step;
    }

    private (double Unwind, double Fill) Mean(int back, int blocks)
    {
        (double unwind, double fill) = (0, 0);
        for (int i = back + 1; i <= back + blocks; i++)
        {
            (double Unwind, double Fill) block = _ring[(_next - i + _ring.Length) % _ring.Length];
            (unwind, fill) = (unwind + block.Unwind, fill + block.Fill);
        }
        return (unwind / blocks, fill / blocks);
    }
}
