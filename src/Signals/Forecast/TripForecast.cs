using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Forecast;

/// <summary>
/// Minutes ahead: the envelope that the trip's timer sees, its robust trend, and the probability that it passes the trip
/// within 1, 5 and 15 min.
/// </summary>
/// <remarks>
/// Two scales: a line through the last <see cref="Points"/> blocks (half a minute or so) for developments of a minute, and
/// one through as many spans of <see cref="SpanSeconds"/> s for those of many minutes. Each is weighed with its own slope
/// uncertainty (the slope, and 0.75 and 1.5 uncertainties to either side of it, Gaussian weights), and the likelier
/// of the two counts. Cost: two fits a block, amortised well under 100 ns a reading at 50 readings/s.
/// </remarks>
/// <param name="fill">Where the machine trips.</param>
internal sealed class TripForecast(FillSettings fill)
{
    private const int Points = 24;
    private const double SpanSeconds = 10;

    /// <summary>A line is drawn on for twice as long as it looks back; beyond that it says no more than that fill stays there.</summary>
    private const int DrawnOn = 2 * Points;

    /// <summary>Fill that stands further back than this after a stop has stepped, %: a start leaves less unsettled.</summary>
    private const double StepBackPercent = 5;

    /// <summary>The same where fill is uneven, in standard deviations of the blocks about their line.</summary>
    private const double StepBackDeviations = 4;

    private static readonly (double Deviations, double Weight)[] s_slopes =
    [
        (-1.5, 0.13),
        (-0.75, 0.23),
        (0, 0.28),
        (0.75, 0.23),
        (1.5, 0.13),
    ];

    private readonly SideForecast _full = new(fill.FullTripPercent);
    private readonly SideForecast _empty = new(-fill.EmptyTripPercent);
    private double _runningSeconds;

    /// <summary>Probabilities and lines of one side.</summary>
    public SideForecast this[Side side] => side == Side.Full ? _full : _empty;

    /// <summary>Forgets the quick scale: after a stop the fill starts afresh, the slow development does not.</summary>
    public void Restart()
    {
        _full.Restart();
        _empty.Restart();
    }

    /// <summary>Forgets everything: another product or other set points.</summary>
    public void Reset()
    {
        _full.Reset();
        _empty.Reset();
    }

    public void Add(in FilmBlock block)
    {
        _runningSeconds += block.DurationSeconds;
        if (double.IsNaN(block.HeldFull) || double.IsNaN(block.HeldEmpty))
            return;
        _full.Add(_runningSeconds, block.DurationSeconds, block.HeldFull);
        _empty.Add(_runningSeconds, block.DurationSeconds, -block.HeldEmpty);
    }

    /// <summary>Carries the slow trends and how far forecasts are believed; the quick trends start afresh, as after any hole.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Trip"u8);
        _runningSeconds = ledger.Keep(_runningSeconds);
        _full.Keep(ledger);
        _empty.Keep(ledger);
    }

    /// <summary>One side, counted so that the trip lies upwards.</summary>
    internal sealed class SideForecast(double trip)
    {
        private readonly RobustTrend _blocks = new(Points);
        private readonly RobustTrend _spans = new(Points);
        private readonly Survival _survival = new();
        private double _spanStart = double.NaN;
        private double _spanHighest = double.NegativeInfinity;
        private double _before = double.NaN; // a stop; NaN once it is known where fill stands after it

        /// <summary>Line through the envelope of the last blocks, %, counted towards the trip.</summary>
        public TrendLine Quick { get; private set; } = TrendLine.Unknown;

        /// <summary>Line through the envelope of the last spans, %, counted towards the trip.</summary>
        public TrendLine Slow { get; private set; } = TrendLine.Unknown;

        public double In1Minute { get; private set; } = double.NaN;
        public double In5Minutes { get; private set; } = double.NaN;
        public double In15Minutes { get; private set; } = double.NaN;

        /// <summary>
        /// Seconds until the quick line reaches the trip; infinity when it does not rise for certain, or reaches it later than
        /// it is drawn on for <see cref="In5Minutes"/>; NaN where unknown.
        /// </summary>
        public double SecondsToTrip => Seconds(Quick);

        public void Restart()
        {
            _blocks.Clear();
            _spanStart = double.NaN;
            _spanHighest = double.NegativeInfinity;
            Quick = TrendLine.Unknown;
            if (double.IsNaN(_before) && _spans.Count > 0)
                _before = _spans.Newest;
            Weigh();
        }

        public void Reset()
        {
            _spans.Clear();
            _before = double.NaN;
            _survival.Clear();
            Slow = TrendLine.Unknown;
            Restart();
        }

        public void Add(double seconds, double elapsedSeconds, double envelope)
        {
            _blocks.Add(seconds, envelope);
            Quick = _blocks.Fit();
            if (!double.IsNaN(_before + Quick.Level))
                CarryOn();
            if (double.IsNaN(_spanStart))
                _spanStart = seconds;
            _spanHighest = Math.Max(_spanHighest, envelope);
            if (seconds - _spanStart >= SpanSeconds)
            {
                _spans.Add(seconds, _spanHighest);
                _spanStart = seconds;
                _spanHighest = double.NegativeInfinity;
                Slow = _spans.Fit();
            }
            Weigh(elapsedSeconds);
        }

        /// <summary>Carries what outlives a hole in the readings.</summary>
        public void Keep(Ledger ledger)
        {
            ledger.Open("Side"u8);
            _spans.Keep(ledger);
            _survival.Keep(ledger);
            Slow = ledger.Keep(Slow);
        }

        /// <summary>
        /// A slow development goes on after a stop where it was, or nearer to the trip. Where fill has stepped back from it,
        /// hands have moved the set points or the target, or mended what it came from: no film went out that way.
        /// </summary>
        private void CarryOn()
        {
            double back = _before - Quick.Level;
            _before = double.NaN;
            if (back <= Math.Max(StepBackPercent, StepBackDeviations * Quick.Deviation))
                return;
            _spans.Clear();
            Slow = TrendLine.Unknown;
        }

        private void Weigh(double elapsedSeconds = 0)
        {
            TrendLine slow = double.IsNaN(_before) ? Slow : TrendLine.Unknown;
            double in1 = Larger(Probability(Quick, 60), Probability(slow, 60));
            double in5 = Larger(Probability(Quick, 300), Probability(slow, 300));
            double in15 = Larger(in5, Probability(slow, 900));
            _survival.Add(elapsedSeconds, in5);
            In1Minute = _survival.Temper(in1);
            In5Minutes = _survival.Temper(in5);
            In15Minutes = _survival.Temper(in15);
        }

        private double Seconds(in TrendLine line)
        {
            if (double.IsNaN(line.RatePerSecond))
                return double.NaN;
            if (!line.IsRising)
                return double.PositiveInfinity;
            double seconds = (trip - line.Level) / line.RatePerSecond;
            return seconds > DrawnOn * line.StepSeconds ? double.PositiveInfinity : Math.Max(0, seconds);
        }

        private double Probability(in TrendLine line, double seconds)
        {
            if (double.IsNaN(line.RatePerSecond))
                return double.NaN;
            double sum = 0;
            int steps = (int)Math.Max(1, seconds / line.StepSeconds);
            foreach ((double deviations, double weight) in s_slopes)
            {
                double rate = line.RatePerSecond + deviations * line.RateDeviation;
                sum +=
                    weight
                    * FirstPassage.Probability(
                        trip - line.Level,
                        rate * line.StepSeconds,
                        line.Deviation,
                        line.Correlation,
                        line.Present,
                        steps,
                        driftSteps: DrawnOn
                    );
            }
            return sum;
        }

        private static double Larger(double a, double b) => b > a || double.IsNaN(a) ? b : a;
    }
}
