using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Survey.Steps;

/// <summary>Means over a tenth of a second: what a travel or a start is kept as.</summary>
/// <param name="Seconds">Since the step began, at the block's middle.</param>
/// <param name="Gap">In its unit.</param>
/// <param name="FilmMillimeters">Film the unwind has given since the step began, by its speed; at the block's middle.</param>
/// <param name="UnwindSpeed">m/min.</param>
/// <param name="UnwindCommand">m/min; NaN without that signal.</param>
/// <param name="LineSpeed">m/min; NaN without that signal.</param>
/// <param name="BrakeOn">0 to 1; NaN without that signal.</param>
/// <param name="BrakePressure">bar; NaN without that signal.</param>
public sealed record Block(
    double Seconds,
    double Gap,
    double FilmMillimeters,
    double UnwindSpeed,
    double UnwindCommand,
    double LineSpeed,
    double BrakeOn,
    double BrakePressure
)
{
    public const double Length = 0.1;

    // Film is not counted across a longer hole in the readings, s.
    private const double LongestHole = 0.5;

    private const double MillimetersPerSecond = 1000.0 / 60;

    /// <summary>Blocks of the readings that hold a gap and a speed; blocks without any are left out.</summary>
    internal static List<Block> Of(IReadOnlyList<Reading> readings)
    {
        List<Block> blocks = [];
        double film = 0;
        Reading? last = null;
        List<(Reading Reading, double Film)> gathered = [];
        foreach (Reading reading in readings)
        {
            if (!double.IsFinite(reading[Signal.Gap]) || !double.IsFinite(reading[Signal.UnwindSpeed]))
                continue;
            if (last is { } before)
            {
                double seconds = InSeconds(reading.Ticks - before.Ticks);
                double mean = (reading[Signal.UnwindSpeed] + before[Signal.UnwindSpeed]) / 2;
                film += seconds < LongestHole ? mean * MillimetersPerSecond * seconds : 0;
            }
            if (gathered.Count > 0 && InSeconds(reading.Ticks - gathered[0].Reading.Ticks) >= Length)
            {
                blocks.Add(Mean(gathered, readings[0].Ticks));
                gathered.Clear();
            }
            gathered.Add((reading, film));
            last = reading;
        }
        if (gathered.Count > 0)
            blocks.Add(Mean(gathered, readings[0].Ticks));
        return blocks;
    }

    private static Block Mean(List<(Reading Reading, double Film)> gathered, long zero)
    {
        double Of(Signal signal) => gathered.Average(one => one.Reading[signal]);
        return new Block(
            gathered.Average(one => InSeconds(one.Reading.Ticks - zero)),
            Of(Signal.Gap),
            gathered.Average(one => one.Film),
            Of(Signal.UnwindSpeed),
            Of(Signal.UnwindCommand),
            Of(Signal.LineSpeed),
            Of(Signal.BrakeOn),
            Of(Signal.BrakePressure)
        );
    }

    private static double InSeconds(long ticks) => (double)ticks / TimeSpan.TicksPerSecond;
}
