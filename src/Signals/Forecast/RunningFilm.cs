using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;

namespace Dancerwatch.Signals.Forecast;

/// <summary>Where the fill of a running machine is heading: seconds by the quick look, minutes by the trends.</summary>
/// <param name="settings">The machine.</param>
internal sealed class RunningFilm(MachineSettings settings)
{
    private readonly HeldExtremes _held = new(settings.Fill.TripHoldSeconds, settings.PollSeconds);
    private readonly FilmBlocks _blocks = new(settings.PollSeconds);
    private readonly ApproachForecast _approach = new(settings.Fill);
    private readonly StartForecast _start = new(settings.Fill);
    private readonly UsualFilm _usual = new(settings.Fill.StorageMillimeters);

    public FilmFlow Flow { get; } = new(settings.Fill.StorageMillimeters, settings.PollSeconds);
    public TripForecast Trips { get; } = new(settings.Fill);

    /// <summary>How the machine takes film.</summary>
    public UsualPull Pull => _usual.Pull;

    /// <summary>The machine starts to run, or readings return after a hole: neighbours in time are no neighbours.</summary>
    public void Restart()
    {
        _held.Reset();
        _blocks.Reset();
        Flow.Reset();
        _approach.Restart();
        Trips.Restart();
    }

    /// <summary>The machine tripped: the way to the trip is not what is usual, and no trend leads on from it.</summary>
    public void Trip()
    {
        Restart();
        _approach.ForgetNewest();
        Trips.Reset();
    }

    /// <summary>Another product or other set points: what was usual is no longer.</summary>
    public void Forget()
    {
        Restart();
        _approach.Forget();
        _usual.Forget();
        Trips.Reset();
    }

    /// <summary>The machine starts.</summary>
    /// <param name="stoodPercent">Where the dancer stood before, %; NaN where that is where it is now.</param>
    public void BeginStart(double stoodPercent = double.NaN) => _start.Begin(stoodPercent);

    /// <summary>Film has settled after a start.</summary>
    public void EndStart() => _start.End();

    /// <summary>Takes a reading of a start, with a finite fill. Where the line speed is not read, what the machine drew before stands for it.</summary>
    public ForecastEstimate Start(double elapsedSeconds, double fillPercent, in Reading reading)
    {
        double line = reading[Signal.LineSpeed];
        bool isRead = double.IsFinite(line);
        _start.Add(
            fillPercent,
            elapsedSeconds,
            reading[Signal.UnwindSpeed] - (isRead ? line : _usual.DrawMetersPerMinute),
            isRead ? _approach.UsualLowest : double.NegativeInfinity,
            isRead ? _approach.UsualHighest : double.PositiveInfinity
        );
        return ForecastEstimate.Unknown with
        {
            Side = _start.Next.Side,
            SecondsToLimit = _start.Next.Seconds,
        };
    }

    /// <summary>Takes a reading of the running machine with a finite fill.</summary>
    /// <param name="cyclesPerMinute">Read or seen; NaN where neither.</param>
    /// <returns>True when it closed <paramref name="block"/>.</returns>
    public bool Add(
        double seconds,
        double fillPercent,
        in Reading reading,
        double cyclesPerMinute,
        out FilmBlock block
    )
    {
        _held.Add(seconds, fillPercent);
        Flow.Add(seconds, fillPercent, reading, cyclesPerMinute);
        bool closed = _blocks.Add(seconds, fillPercent, _held, reading, cyclesPerMinute, out block);
        if (closed)
        {
            _approach.Learn(block);
            _usual.Learn(block, cyclesPerMinute);
            Trips.Add(block);
        }
        return closed;
    }

    /// <summary>The forecast at the reading last added.</summary>
    public ForecastEstimate Forecast(double fillPercent)
    {
        _approach.Note(Flow);
        double full = Sooner(_approach.Seconds(Side.Full, Flow, fillPercent), Trips[Side.Full].SecondsToTrip);
        double empty = Sooner(
            _approach.Seconds(Side.Empty, Flow, fillPercent),
            Trips[Side.Empty].SecondsToTrip
        );
        double seconds = Sooner(full, empty);
        Side side =
            !(seconds < double.PositiveInfinity) ? Side.None
            : seconds == full ? Side.Full
            : Side.Empty;
        TripForecast.SideForecast likelier = Likelier(out Side likelySide);
        return new ForecastEstimate(
            side,
            seconds,
            likelier.In1Minute,
            likelier.In5Minutes,
            likelier.In15Minutes,
            likelySide
        );
    }

    /// <summary>Carries what is usual and the slow trend. Film flow, held extremes and the block under way start afresh: any hole in the readings ends them.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("RunF"u8);
        _approach.Keep(ledger);
        _start.Keep(ledger);
        _usual.Keep(ledger);
        Trips.Keep(ledger);
    }

    private TripForecast.SideForecast Likelier(out Side side)
    {
        TripForecast.SideForecast full = Trips[Side.Full];
        TripForecast.SideForecast empty = Trips[Side.Empty];
        bool isFull =
            full.In5Minutes > empty.In5Minutes
            || (full.In5Minutes == empty.In5Minutes && full.In15Minutes > empty.In15Minutes);
        side =
            isFull ? Side.Full
            : empty.In15Minutes > 0 ? Side.Empty
            : Side.None;
        return isFull ? full : empty;
    }

    /// <summary>The smaller of two, the known one where one is NaN.</summary>
    private static double Sooner(double a, double b) => b < a || double.IsNaN(a) ? b : a;
}
