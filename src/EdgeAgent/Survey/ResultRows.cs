using System.Globalization;
using Dancerwatch.Signals.Survey;
using Dancerwatch.Signals.Survey.Results;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.EdgeAgent.Survey;

/// <summary>One result as a person reads it.</summary>
/// <param name="Name">In trade words.</param>
/// <param name="Digits">Places after the point.</param>
/// <param name="Remark">What stands beside it; empty for nothing.</param>
internal readonly record struct ResultRow(
    string Name,
    Uncertain Result,
    string Unit,
    int Digits,
    string Remark = ""
)
{
    /// <summary>Value and half-width with the unit; "not known" where it is not.</summary>
    public string Text
    {
        get
        {
            if (!Result.IsKnown)
                return "not known";
            string digits = "F" + Digits;
            string value = Result.Value.ToString(digits, CultureInfo.InvariantCulture);
            return double.IsFinite(Result.Plus) && Result.Plus > 0
                ? $"{value} ± {Result.Plus.ToString(digits, CultureInfo.InvariantCulture)} {Unit}"
                : $"{value} {Unit}";
        }
    }
}

/// <summary>Results that belong together.</summary>
internal readonly record struct ResultGroup(string Name, IReadOnlyList<ResultRow> Rows);

/// <summary>The results in the order a person looks for them.</summary>
internal static class ResultRows
{
    /// <param name="known">What the controller says, for the remarks.</param>
    public static IReadOnlyList<ResultGroup> Groups(SurveyResult r, KnownMachine known) =>
        [
            new("Sensor", Sensor(r, known)),
            new("Film and cam", Film(r, known)),
            new("Brake", Brake(r)),
            new("Running", Running(r, known)),
        ];

    public static IReadOnlyList<RecordedResult> Recorded(SurveyResult result, KnownMachine known) =>
        [
            .. Groups(result, known)
                .SelectMany(group => group.Rows)
                .Select(row => new RecordedResult(row.Name, row.Result.Value, row.Result.Plus, row.Unit)),
        ];

    private static ResultRow[] Sensor(SurveyResult r, KnownMachine known) =>
        [
            new("Gap at full", r.GapAtFull, "counts", 1, $"taught {known.GapAtFull:0}"),
            new("Gap at empty", r.GapAtEmpty, "counts", 1, $"taught {known.GapAtEmpty:0}"),
            new(
                "Span",
                r.Span,
                "counts",
                1,
                r.Span.Value > 0 ? "gap grows with fill" : "gap shrinks with fill"
            ),
            new("Counts for 1 %", r.CountsPerPercent, "counts", 2),
            new("Smallest step", Plain(r.Step), "counts", 0),
            new("Noise at rest", Plain(r.Noise), "counts", 1, "standard deviation"),
            new("Smallest gap left", Plain(r.Clearance), "counts", 0, Share(r.ClearancePercent)),
            new("Play at half way", r.Play, "% of span", 2),
        ];

    private static ResultRow[] Film(SurveyResult r, KnownMachine known) =>
        [
            new("Film stored", r.Storage, "mm", 0, Configured(known)),
            new("Counts for 1 mm", r.CountsPerMillimeter, "counts", 3),
            new("Bow of the cam", Plain(r.Cam.IsKnown ? r.Cam.LargestBowPercent : double.NaN), "%", 1),
        ];

    private static ResultRow[] Brake(SurveyResult r) =>
        [
            new("Bears from", r.Brake.BearsFrom, "% of fill", 1, Side(r.Brake)),
            new("Lets go at", r.Brake.LetsGoAt, "% of fill", 1, Source(r.Brake)),
        ];

    private static ResultRow[] Running(SurveyResult r, KnownMachine known) =>
        [
            new("Fill, middle", Plain(r.RunningFill), "%", 1, $"target {known.TargetPercent:0} %"),
            new("Swing in a cycle", r.Swing, "%", 1),
            new("Swing of film", r.SwingMillimeters, "mm", 0, OfCycle(r.CycleMillimeters)),
            new("Stop overrun", Plain(r.OverrunPercent), "%", 1, Film(r.OverrunMillimeters)),
            new("Unwind near full", Plain(r.UnwindAtFull.Speed), "m/min", 1, Asked(r.UnwindAtFull.Asked)),
            new("Unwind near empty", Plain(r.UnwindAtEmpty.Speed), "m/min", 1, Asked(r.UnwindAtEmpty.Asked)),
            new("Suggested target", r.Target.Target, "%", 1),
        ];

    private static Uncertain Plain(double value) => new(value, double.NaN);

    private static string Configured(KnownMachine known) =>
        double.IsFinite(known.StorageMillimeters) ? $"configured {known.StorageMillimeters:0}" : "";

    private static string Share(double percent) =>
        double.IsFinite(percent)
            ? string.Create(CultureInfo.InvariantCulture, $"{percent:0.0} % of span")
            : "";

    private static string Film(double millimeters) =>
        double.IsFinite(millimeters)
            ? string.Create(CultureInfo.InvariantCulture, $"{millimeters:0} mm of film")
            : "";

    private static string OfCycle(double millimeters) =>
        double.IsFinite(millimeters)
            ? string.Create(CultureInfo.InvariantCulture, $"of {millimeters:0} a cycle")
            : "";

    private static string Asked(double speed) =>
        double.IsFinite(speed) ? string.Create(CultureInfo.InvariantCulture, $"asked {speed:0.0}") : "";

    private static string Side(BrakeFinding brake) =>
        brake.Side switch
        {
            BrakeSide.Full => "full side, as it should",
            BrakeSide.Empty => "WRONG SIDE",
            BrakeSide.Both => "NEVER LETS GO",
            BrakeSide.Neither => "NEVER HOLDS",
            _ => "",
        };

    private static string Source(BrakeFinding brake) =>
        brake.Source switch
        {
            BrakeSource.Pressure => "by its air pressure",
            BrakeSource.Switch => "by its switch",
            BrakeSource.Unwind => "inferred from the unwind",
            _ => "",
        };
}
