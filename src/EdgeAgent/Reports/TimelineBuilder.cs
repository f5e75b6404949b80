using Dancerwatch.Signals;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Regimes;

namespace Dancerwatch.EdgeAgent.Reports;

/// <summary>Keeps what each minute says; long periods are told in longer steps, so that a chart stays quick to draw.</summary>
internal sealed class TimelineBuilder
{
    private const int MostSteps = 1500;
    private const int Digits = 2;

    private readonly List<Minute> _minutes = [];
    private long _next = long.MinValue;
    private long _last;

    /// <summary>Minutes with a margin: when, and the smaller one.</summary>
    public IEnumerable<(long Milliseconds, double Margin)> Margins =>
        _minutes
            .Where(minute => !double.IsNaN(minute.FullMargin))
            .Select(minute => (minute.Milliseconds, Math.Min(minute.FullMargin, minute.EmptyMargin)));

    /// <param name="milliseconds">Wall clock of the assessment; asked where a minute is over.</param>
    public void Take(Assessment a, Func<long, long> milliseconds)
    {
        if (a.Ticks < _next)
            return;
        if (_next != long.MinValue && a.Ticks - _last > 2 * TimeSpan.TicksPerMinute)
            _minutes.Add(Minute.Unknown(milliseconds(_last + TimeSpan.TicksPerMinute)));
        (_next, _last) = (a.Ticks + TimeSpan.TicksPerMinute, a.Ticks);
        bool runs = a.Regime.Regime == Regime.Running && a.OneMinute.Count > 0;
        _minutes.Add(runs ? Minute.Of(milliseconds(a.Ticks), a) : Minute.Unknown(milliseconds(a.Ticks)));
    }

    public Timeline Build()
    {
        int step = Math.Max(1, (_minutes.Count + MostSteps - 1) / MostSteps);
        // In the order of the wall clock, also where it was set back: a chart can tell no other.
        Minute[] worst =
        [
            .. _minutes
                .OrderBy(minute => minute.Milliseconds)
                .Chunk(step)
                .Select(chunk => chunk.Aggregate(Minute.Worst)),
        ];
        return new Timeline(
            step,
            [.. worst.Select(minute => minute.Milliseconds)],
            [.. worst.Select(minute => minute.P01)],
            [.. worst.Select(minute => minute.P50)],
            [.. worst.Select(minute => minute.P99)],
            [.. worst.Select(minute => minute.FullMargin)],
            [.. worst.Select(minute => minute.EmptyMargin)],
            [.. worst.Select(minute => minute.Amplitude)],
            [.. worst.Select(minute => minute.FrequencyHz)],
            [.. worst.Select(minute => minute.Rhythm.Code())],
            [.. worst.Select(minute => minute.Diameter)]
        );
    }

    private readonly record struct Minute(
        long Milliseconds,
        double P01,
        double P50,
        double P99,
        double FullMargin,
        double EmptyMargin,
        double Amplitude,
        double FrequencyHz,
        Rhythm Rhythm,
        double Diameter
    )
    {
        private const double None = double.NaN;

        public static Minute Unknown(long milliseconds) =>
            new(milliseconds, None, None, None, None, None, None, None, Rhythm.NotEnoughData, None);

        public static Minute Of(long milliseconds, Assessment a)
        {
            MarginEstimate margin = a.Margin;
            OscillationEstimate oscillation = a.Oscillation;
            return new(
                milliseconds,
                Math.Round(a.OneMinute.P01, Digits),
                Math.Round(a.OneMinute.P50, Digits),
                Math.Round(a.OneMinute.P99, Digits),
                Math.Round(margin.Full.Percent, Digits),
                Math.Round(margin.Empty.Percent, Digits),
                Math.Round(oscillation.AmplitudePercent, Digits),
                Math.Round(oscillation.FrequencyHz, 4),
                oscillation.Rhythm,
                Math.Round(a.Roll.DiameterMillimeters, 1)
            );
        }

        /// <summary>Of two neighbouring ones. What is known comes before what is not.</summary>
        public static Minute Worst(Minute a, Minute b)
        {
            bool second = double.IsNaN(a.Amplitude) || b.Amplitude > a.Amplitude;
            return new(
                a.Milliseconds,
                Known(a.P01, b.P01, Math.Min),
                double.IsNaN(b.P50) ? a.P50 : b.P50,
                Known(a.P99, b.P99, Math.Max),
                Known(a.FullMargin, b.FullMargin, Math.Min),
                Known(a.EmptyMargin, b.EmptyMargin, Math.Min),
                second ? b.Amplitude : a.Amplitude,
                second ? b.FrequencyHz : a.FrequencyHz,
                second ? b.Rhythm : a.Rhythm,
                double.IsNaN(b.Diameter) ? a.Diameter : b.Diameter
            );
        }

        private static double Known(double a, double b, Func<double, double, double> worse) =>
            double.IsNaN(a) ? b
            : double.IsNaN(b) ? a
            : worse(a, b);
    }
}
