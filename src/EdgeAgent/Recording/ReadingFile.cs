using System.Globalization;
using Dancerwatch.EdgeAgent.Recording.Parquet;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>What a recording's Parquet file looks like: docs/recordings.md in code.</summary>
internal static class ReadingFile
{
    /// <summary>Run of the daemon; see <see cref="ReadingBatch.Run"/>.</summary>
    public const string Run = "run";

    /// <summary>Monotonic time from the start of the run, ticks of 100 ns.</summary>
    public const string Ticks = "ticks_100ns";

    /// <summary>Wall-clock time.</summary>
    public const string Time = "time";
    public const string QualityColumn = "quality";

    /// <summary>Key of the layout's version among a file's facts. Another number: not ours to read.</summary>
    public const string Layout = "dancerwatch.layout";
    public const string LayoutVersion = "1";

    /// <summary>Words of the qualities, in the order of <see cref="Quality"/>.</summary>
    public static readonly string[] QualityWords = ["good", "partial", "bad"];

    private static readonly Signal[] s_signals = Enum.GetValues<Signal>();

    public static IReadOnlyList<Column> Columns(IReadOnlyList<Signal> signals) =>
        [
            new Column(Run, PhysicalType.Int64, Meaning.None, IsOptional: false),
            new Column(Ticks, PhysicalType.Int64, Meaning.None, IsOptional: false),
            new Column(Time, PhysicalType.Int64, Meaning.UtcMicroseconds, IsOptional: false),
            new Column(QualityColumn, PhysicalType.ByteArray, Meaning.Text, IsOptional: false),
            .. signals.Select(signal => new Column(
                signal.Code(),
                PhysicalType.Double,
                Meaning.None,
                IsOptional: true
            )),
        ];

    /// <summary>Facts for the footer: layout, machine, and the unit of each signal.</summary>
    public static Dictionary<string, string> Facts(string machine, IReadOnlyList<Signal> signals)
    {
        Dictionary<string, string> facts = new()
        {
            [Layout] = LayoutVersion,
            ["dancerwatch.machine"] = machine,
        };
        foreach (Signal signal in signals)
            facts[string.Create(CultureInfo.InvariantCulture, $"unit.{signal.Code()}")] = UnitOf(signal);
        return facts;
    }

    /// <summary>The signals a file has columns of.</summary>
    public static IReadOnlyList<Signal> SignalsIn(Footer footer) =>
        [.. s_signals.Where(signal => footer.PlaceOf(signal.Code()) >= 0)];

    private static string UnitOf(Signal signal) =>
        signal switch
        {
            Signal.Gap or Signal.GapAtFull or Signal.GapAtEmpty => "counts, or mm where the tag gives mm",
            Signal.UnwindSpeed or Signal.UnwindCommand or Signal.LineSpeed => "m/min",
            Signal.CycleRate => "1/min",
            Signal.TargetFill => "%",
            Signal.BrakePressure => "bar",
            Signal.RollDiameter or Signal.EdgePosition => "mm",
            Signal.Running or Signal.FullSideTrip or Signal.EmptySideTrip or Signal.BrakeOn => "1 or 0",
            _ => "number of the product",
        };
}
