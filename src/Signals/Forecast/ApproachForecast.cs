using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Forecast;

/// <summary>
/// Seconds until a trip: the quick look. Takes the rate fill moves at now and asks two things before it speaks. Is this
/// new: further out than the last minute ever was, or is the unwind doing what it has not done in that time? And will
/// the unwind turn the movement before the trip?
/// </summary>
/// <param name="fill">Where the machine trips.</param>
internal sealed class ApproachForecast(FillSettings fill)
{
    /// <summary>The unwind does something new from this many times its largest effect of the last minute on.</summary>
    private const double NewEffectFactor = 2;

    /// <summary>From this many times on the unwind is believed by itself.</summary>
    private const double UnheardFactor = 4;

    /// <summary>Rates below this are never an approach within seconds, %/s.</summary>
    private const double SmallestRate = 1;

    /// <summary>A trip this near is told even while the unwind has had no time to follow the line, s.</summary>
    private const double NearSeconds = 1;

    private readonly RecentExtremes _effects = new();
    private readonly RecentExtremes _levels = new();
    private double _highestEffect = double.NegativeInfinity;
    private double _lowestEffect = double.PositiveInfinity;

    /// <summary>Lowest fill of the last minute of running, without the newest seconds, %; NaN until known.</summary>
    public double UsualLowest => _levels.Lowest;

    /// <summary>Highest.</summary>
    public double UsualHighest => _levels.Highest;

    /// <summary>Readings start afresh; what was usual stays.</summary>
    public void Restart() => ForgetBlock();

    /// <summary>A trip came: the blocks that led to it are not what is usual.</summary>
    public void ForgetNewest()
    {
        _effects.ForgetNewest();
        _levels.ForgetNewest();
        ForgetBlock();
    }

    /// <summary>What was usual is no longer.</summary>
    public void Forget()
    {
        _effects.Clear();
        _levels.Clear();
        ForgetBlock();
    }

    /// <summary>Notes a reading's film balance.</summary>
    public void Note(FilmFlow flow)
    {
        if (double.IsNaN(flow.BalanceRate))
            return;
        _highestEffect = Math.Max(_highestEffect, flow.BalanceRate);
        _lowestEffect = Math.Min(_lowestEffect, flow.BalanceRate);
    }

    /// <summary>Remembers a closed block as what is usual here.</summary>
    public void Learn(in FilmBlock block)
    {
        if (_highestEffect >= _lowestEffect)
            _effects.Add(_lowestEffect, _highestEffect);
        _levels.Add(block.LowestFill, block.HighestFill);
        ForgetBlock();
    }

    /// <summary>Seconds to the trip on one side; infinity where it is not approached; NaN where nothing is known.</summary>
    public double Seconds(Side side, FilmFlow flow, double fillNow)
    {
        int sign = side == Side.Full ? 1 : -1;
        double towards = sign * flow.GapRate;
        double balance = sign * flow.BalanceRate;
        if ((double.IsNaN(towards) && double.IsNaN(balance)) || !_levels.IsKnown)
            return double.NaN;
        if (IsFurther(side, fillNow))
            towards = double.IsNaN(towards) || (towards > 0 && balance > towards) ? balance : towards;
        else if (IsNewEffect(side, balance, UnheardFactor) && IsOfUnwind(sign * flow.UnwindRate, balance))
            towards = balance; // the gap, a cycle apart, is too slow to agree
        else if (IsNewEffect(side, balance, NewEffectFactor))
            towards = Math.Min(towards, balance); // film and gap must both say so
        else
            return double.PositiveInfinity;
        // The gap, a cycle apart, goes on rising for a cycle after a stop at which the unwind has ended too.
        if (side == Side.Full && towards > flow.GivenRate)
            towards = flow.GivenRate;
        if (!(towards > SmallestRate))
            return double.PositiveInfinity;

        double distance =
            side == Side.Full ? fill.FullTripPercent - fillNow : fillNow - fill.EmptyTripPercent;
        return TurnsInTime(sign, towards, flow, distance)
            ? double.PositiveInfinity
            : Math.Max(0, distance / towards) + fill.TripHoldSeconds;
    }

    /// <summary>Carries what is usual; the block under way starts afresh.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Appr"u8);
        _effects.Keep(ledger);
        _levels.Keep(ledger);
    }

    private bool IsFurther(Side side, double fillNow) =>
        side == Side.Full ? fillNow > _levels.Highest : fillNow < _levels.Lowest;

    /// <summary>It is the unwind that changed, not the speed of the line, which the unwind will follow.</summary>
    private static bool IsOfUnwind(double unwindRate, double balance) => unwindRate > balance / 2;

    private bool IsNewEffect(Side side, double balance, double factor) =>
        balance > factor * Math.Max(side == Side.Full ? _effects.Highest : -_effects.Lowest, SmallestRate);

    /// <summary>
    /// A loop that slows the film in proportion to fill lets it run on by rate^2 / deceleration (exponential decay). Where it
    /// is the line that has another speed, the unwind will follow: it is given the time it needs to begin, and then
    /// judged by what it did in the last half second.
    /// </summary>
    private static bool TurnsInTime(int sign, double towards, FilmFlow flow, double distance)
    {
        double slowing = -sign * flow.BalanceAcceleration;
        if (sign * flow.LineRate > towards / 2)
        {
            bool isJustNow = sign * flow.LatestLineRate > towards / 2;
            if (isJustNow && distance > towards * NearSeconds)
                return true;
            slowing = Math.Max(slowing, -sign * flow.LatestAcceleration);
        }
        return slowing > 0 && towards * towards / slowing < distance;
    }

    private void ForgetBlock()
    {
        _highestEffect = double.NegativeInfinity;
        _lowestEffect = double.PositiveInfinity;
    }
}
