using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.FilmPath;

/// <summary>
/// The last quarter of an hour in pages of a minute: the page under way and the fourteen before. Memory: 16 histograms of
/// 512 bytes and 15 pages. O(1) a reading; turning a page is one pass over it.
/// </summary>
internal sealed class MinuteBook
{
    public const int Pages = 15;
    private const double PageSeconds = 60;

    private readonly MinutePage[] _pages = new MinutePage[Pages];
    private readonly SpeedHistogram[] _pageSpeeds = new SpeedHistogram[Pages];
    private readonly SpeedHistogram _speeds = new();
    private double _page = double.NaN;
    private int _at;

    public MinuteBook()
    {
        for (int i = 0; i < Pages; i++)
            _pageSpeeds[i] = new SpeedHistogram();
    }

    /// <summary>The page under way.</summary>
    public ref MinutePage Now => ref _pages[_at];

    /// <summary>The page before it.</summary>
    public ref readonly MinutePage Before => ref _pages[(_at + Pages - 1) % Pages];

    /// <summary>Speeds of the whole book, %/s.</summary>
    public SpeedHistogram Speeds => _speeds;

    /// <summary>Turns to the page of a time; pages nothing was written on are empty.</summary>
    /// <returns>True where a page was turned; <see cref="Before"/> is then the one that is full.</returns>
    public bool TurnTo(double seconds)
    {
        double page = Math.Floor(seconds / PageSeconds);
        if (page == _page)
            return false;
        int turns = double.IsNaN(_page) ? 0 : (int)Math.Min(Pages, page - _page);
        _page = page;
        for (int i = 0; i < turns; i++)
        {
            _at = (_at + 1) % Pages;
            ClearPage(_at);
        }
        return turns > 0;
    }

    /// <summary>Counts a speed of the dancer, %/s, 0 or more.</summary>
    public void AddSpeed(double speed)
    {
        _pageSpeeds[_at].Add(speed);
        _speeds.Add(speed);
    }

    /// <summary>All pages together.</summary>
    public MinutePage Sum()
    {
        MinutePage sum = default;
        foreach (ref readonly MinutePage page in _pages.AsSpan())
            sum.Add(page);
        return sum;
    }

    /// <summary>The widest range of a page, % of fill, and the most reversals of one.</summary>
    public (double RangePercent, int Reversals) Worst()
    {
        (double range, int reversals) = (0, 0);
        foreach (ref readonly MinutePage page in _pages.AsSpan())
        {
            range = Math.Max(range, page.RangePercent);
            reversals = Math.Max(reversals, page.Reversals);
        }
        return (range, reversals);
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Mins"u8);
        ledger.Keep(_pages.AsSpan());
        foreach (SpeedHistogram speeds in _pageSpeeds)
            speeds.Keep(ledger);
        _page = ledger.Seconds(_page * PageSeconds) / PageSeconds;
        _at = ledger.Keep(_at, 0, Pages - 1);
        if (!ledger.Restores)
            return;
        _speeds.Clear();
        foreach (SpeedHistogram speeds in _pageSpeeds)
            _speeds.Add(speeds);
    }

    private void ClearPage(int at)
    {
        _pages[at] = default;
        _speeds.Subtract(_pageSpeeds[at]);
        _pageSpeeds[at].Clear();
    }
}
