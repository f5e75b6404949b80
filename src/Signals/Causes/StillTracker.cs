using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// How long the gap stands still while the machine runs. A dancer in a running film path moves at every cycle; a gap that
/// stays on one step of its resolution for several times as long as ever before is not following it.
/// </summary>
internal sealed class StillTracker(double resolutionPercent)
{
    private const double LearnSeconds = 60;

    private double _fill = double.NaN;
    private double _learned;

    /// <summary>Seconds since the gap last moved by a step.</summary>
    public double Seconds { get; private set; }

    /// <summary>Longest stand seen while learning, at least 0.2 s; NaN until a minute was seen.</summary>
    public double UsualSeconds => _learned < LearnSeconds ? double.NaN : Math.Max(0.2, _longest);

    private double _longest;

    public void Restart()
    {
        _fill = double.NaN;
        Seconds = 0;
    }

    /// <summary>Takes a running reading with a finite fill.</summary>
    public void Add(double elapsedSeconds, double fillPercent)
    {
        bool moved = !(Math.Abs(fillPercent - _fill) < 0.9 * resolutionPercent);
        if (moved)
        {
            _fill = fillPercent;
            Seconds = 0;
        }
        else
        {
            Seconds += elapsedSeconds;
        }
        if (_learned < LearnSeconds)
        {
            _learned += elapsedSeconds;
            _longest = Math.Max(_longest, Seconds);
        }
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Stil"u8);
        _fill = ledger.Keep(_fill);
        _learned = ledger.Keep(_learned);
        _longest = ledger.Keep(_longest);
        Seconds = ledger.Keep(Seconds);
    }
}
