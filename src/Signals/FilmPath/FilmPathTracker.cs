using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;

namespace Dancerwatch.Signals.FilmPath;

/// <summary>
/// What the unwind does to the film, reading by reading. O(1) a reading, one bounded look a second, one bounded pair of
/// Fourier transforms in 32 s where the film's edge is read; nothing is allocated; about 110 kB a machine, fixed.
/// </summary>
internal sealed class FilmPathTracker
{
    /// <summary>The estimate is renewed this often, s.</summary>
    private const double LookSeconds = 1;

    /// <summary>A reading stands for this long at most, s: what was lost was not seen.</summary>
    private const double MostSeconds = 0.5;

    /// <summary>Near an end: within this of 0 or 100 % of fill. The last tenth of travel, where unwinds are slowed or hurried.</summary>
    private const double NearPercent = 10;

    /// <summary>An overrun is counted from here on: a healthy roll gains 2 % at most, %.</summary>
    private const double OverrunPercent = 5;

    /// <summary>From this amplitude on a regular movement is the one whose effect on the edge is asked for, %.</summary>
    private const double FarPercent = 2;

    private readonly EvenGrid _grid = new();
    private readonly MinuteBook _book = new();
    private readonly StopFollower _stop = new();
    private readonly ReversalCounter _reversals = new();
    private readonly EdgeFollower _edge = new();
    private double _fillBefore = double.NaN;
    private double _leastLack = double.NaN;
    private double _nextLook = double.NegativeInfinity;

    /// <summary>As of the last look.</summary>
    public FilmPathEstimate Estimate { get; private set; } = FilmPathEstimate.Unknown;

    /// <summary>Another product, or set points taught anew: what was usual is no longer. What the film did remains.</summary>
    public void ForgetUsual()
    {
        Break();
        _reversals.Forget();
        _leastLack = double.NaN;
    }

    /// <summary>Takes a reading with a finite fill.</summary>
    /// <param name="seconds">Time, s; rising.</param>
    /// <param name="elapsedSeconds">Since the reading before, s.</param>
    /// <param name="reading">The reading.</param>
    /// <param name="fill">Its fill.</param>
    /// <param name="regime">What the machine does.</param>
    /// <param name="oscillation">As of the last look at it.</param>
    /// <param name="turnHz">Turns of the roll a second, Hz; NaN where not known.</param>
    /// <returns>True where it renewed <see cref="Estimate"/>.</returns>
    public bool Add(
        double seconds,
        double elapsedSeconds,
        in Reading reading,
        in FillEstimate fill,
        in RegimeEstimate regime,
        in OscillationEstimate oscillation,
        double turnHz
    )
    {
        double seen = Math.Min(elapsedSeconds, MostSeconds);
        if (_book.TurnTo(seconds))
            Learn();
        FollowGrid(seconds, fill.Percent, reading[Signal.EdgePosition], regime.Regime);
        if (regime.Regime == Regime.Running)
            Run(seen, reading, fill.Percent);
        else
            _reversals.Break();
        if (_stop.Add(seen, fill, reading[Signal.UnwindSpeed], reading[Signal.LineSpeed], regime.Regime))
            Write(_stop.Finding);
        if (seconds < _nextLook)
            return false;
        _nextLook = seconds + LookSeconds;
        Look(seconds, oscillation, turnHz);
        return true;
    }

    /// <summary>Takes a closed block of running.</summary>
    /// <param name="block">Whole cycles.</param>
    /// <param name="isCycleKnown">The cycle rate is: without it the cycle stays in.</param>
    /// <param name="isSettling">Film is still upset by a start, a splice or a change that is no fault.</param>
    public void Add(in FilmBlock block, bool isCycleKnown, bool isSettling)
    {
        if (!isCycleKnown || isSettling)
        {
            _reversals.Break();
            return;
        }
        ref MinutePage page = ref _book.Now;
        page.AddMean(block.MeanFill, block.DurationSeconds);
        page.Reversals += _reversals.Add(block) ? 1 : 0;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Path"u8);
        _grid.Keep(ledger);
        _book.Keep(ledger);
        _stop.Keep(ledger);
        _reversals.Keep(ledger);
        _edge.Keep(ledger);
        _fillBefore = ledger.Keep(_fillBefore);
        _leastLack = ledger.Keep(_leastLack);
        _nextLook = ledger.Seconds(_nextLook);
        Estimate = ledger.Keep(Estimate);
    }

    private void Break()
    {
        _grid.Break();
        _edge.Break();
        _reversals.Break();
        _fillBefore = double.NaN;
    }

    private void FollowGrid(double seconds, double fill, double edge, Regime regime)
    {
        if (regime is Regime.Tripped or Regime.RollChange)
        {
            // Hands move dancer and film.
            Break();
            return;
        }
        ReadOnlySpan<GridPoint> points = _grid.Add(seconds, fill, edge, out bool isBroken);
        if (isBroken)
        {
            _edge.Break();
            _fillBefore = double.NaN;
        }
        foreach (ref readonly GridPoint point in points)
        {
            double speed = Math.Abs(point.Fill - _fillBefore) / EvenGrid.StepSeconds;
            if (regime == Regime.Running && double.IsFinite(speed))
                _book.AddSpeed(speed);
            _fillBefore = point.Fill;
            _edge.Add(seconds, point, regime != Regime.Stopped);
        }
    }

    private void Run(double elapsedSeconds, in Reading reading, double fill)
    {
        ref MinutePage page = ref _book.Now;
        page.RunningSeconds += elapsedSeconds;
        page.NearFullSeconds += fill >= 100 - NearPercent ? elapsedSeconds : 0;
        page.NearEmptySeconds += fill <= NearPercent ? elapsedSeconds : 0;
        double asked = reading[Signal.UnwindCommand];
        double given = reading[Signal.UnwindSpeed];
        if (double.IsFinite(asked) && double.IsFinite(given))
        {
            page.AskedFilm += asked * elapsedSeconds;
            page.GivenFilm += given * elapsedSeconds;
        }
    }

    private void Learn()
    {
        double lack = _book.Before.LackPercent;
        if (lack < _leastLack || double.IsNaN(_leastLack))
            _leastLack = lack;
    }

    private void Write(in StopFinding stop)
    {
        ref MinutePage page = ref _book.Now;
        page.Stops++;
        page.SlackStops += stop.SlackMillimeters > 0 ? 1 : 0;
        if (double.IsNaN(stop.OverrunPercent))
            return;
        page.JudgedStops++;
        page.Overruns += stop.OverrunPercent > OverrunPercent ? 1 : 0;
        page.LargestOverrunPercent = Math.Max(page.LargestOverrunPercent, stop.OverrunPercent);
    }

    private void Look(double seconds, in OscillationEstimate oscillation, double turnHz)
    {
        MinutePage sum = _book.Sum();
        (double widest, int mostReversals) = _book.Worst();
        bool isCycleFree = sum.CycleFreeSeconds > 0;
        StopFinding stop = _stop.Finding;
        bool swings = oscillation.IsOscillatingBesideCycle;
        // A slight regular movement is not what moves the film; the roll's turn may move both.
        bool leads =
            swings && oscillation.AmplitudePercent >= FarPercent && oscillation.Rhythm != Rhythm.RollTurn;
        double frequency = swings ? oscillation.FrequencyHz : double.NaN;
        // A stop under way counts for what it did so far: it may end in a trip.
        double overrun = _stop.IsFollowing ? Math.Max(0, stop.OverrunPercent) : double.NaN;
        MinutePage recent = _book.Before;
        recent.Add(_book.Now);
        FilmPathEstimate e = new()
        {
            RunningMinutes = sum.RunningSeconds / 60,
            NearFullShare = sum.NearFullSeconds / sum.RunningSeconds,
            NearEmptyShare = sum.NearEmptySeconds / sum.RunningSeconds,
            DancerSpeedP99 = _book.Speeds.Percentile(0.99),
            ReversalsPerMinute = 60 * sum.Reversals / sum.CycleFreeSeconds,
            MostReversals = isCycleFree ? mostReversals : double.NaN,
            WidestMinutePercent = isCycleFree ? widest : double.NaN,
            Stops = sum.Stops,
            OverrunStops = sum.Stops == 0 || sum.JudgedStops > 0 ? sum.Overruns : double.NaN,
            SlackStops = sum.SlackStops,
            LargestOverrunPercent = Larger(
                sum.JudgedStops > 0 ? sum.LargestOverrunPercent : double.NaN,
                overrun
            ),
            LastOverrunPercent = stop.OverrunPercent,
            LastSlackMillimeters = stop.SlackMillimeters,
            LackPercent = recent.LackPercent,
            LeastLackPercent = _leastLack,
            SwingPercent = swings ? oscillation.AmplitudePercent : double.NaN,
            SwingHz = frequency,
            Edge = _edge.Finding(seconds, leads ? frequency : double.NaN, turnHz),
        };
        Estimate = FilmPathSigns.Judge(e);
    }

    /// <summary>The larger of two, the known one where one is NaN.</summary>
    private static double Larger(double a, double b) => b > a || double.IsNaN(a) ? b : a;
}
