using System.Globalization;
using Dancerwatch.Signals.Survey;
using Dancerwatch.Signals.Survey.Findings;
using Dancerwatch.Signals.Survey.Results;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.EdgeAgent.Survey;

/// <summary>A survey, and what changed between two, as plain lines.</summary>
internal static class SurveySummary
{
    public static void Write(TextWriter output, SurveyRecord record)
    {
        SurveyResult result = SurveyResult.Of(record.Measures, record.Known);
        foreach (ResultGroup group in ResultRows.Groups(result, record.Known))
        {
            output.WriteLine(group.Name);
            foreach (ResultRow row in group.Rows)
                output.WriteLine($"  {row.Name, -20}{row.Text, -24}{row.Remark}".TrimEnd());
        }
        IReadOnlyList<SurveyFinding> findings = SurveyFindings.Of(result, record.Measures, record.Known);
        output.WriteLine(findings.Count == 0 ? "Nothing to do." : "What to do");
        foreach (SurveyFinding finding in findings)
            output.WriteLine($"  {WordOf(finding.Weight), -11}{finding.Text}");
    }

    /// <returns>How many changes matter.</returns>
    public static int Compare(TextWriter output, SurveyRecord before, SurveyRecord after)
    {
        IReadOnlyList<SurveyChange> changes = SurveyComparison.Of(
            SurveyResult.Of(before.Measures, before.Known),
            SurveyResult.Of(after.Measures, after.Known)
        );
        output.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"{after.Machine}: {before.Begun.UtcDateTime:yyyy-MM-dd HH:mm} and {after.Begun.UtcDateTime:yyyy-MM-dd HH:mm} UTC. ± covers 95 of 100."
            )
        );
        output.WriteLine($"  {"", -18}{"before", 18}{"after", 18}{"change", 11}");
        foreach (SurveyChange change in changes)
        {
            string verdict = change.Weight switch
            {
                ChangeWeight.Same => "no change that could be told",
                ChangeWeight.Small => "changed, too little to matter",
                ChangeWeight.Matters => "CHANGED, and it matters",
                _ => "not known in both",
            };
            string difference = double.IsFinite(change.Difference)
                ? change.Difference.ToString("+0.0;-0.0;0.0", CultureInfo.InvariantCulture)
                : "";
            output.WriteLine(
                $"  {change.Name, -18}{Text(change.Before), 18}{Text(change.After), 18}{difference, 11} {change.Unit, -10} {verdict}"
            );
        }
        foreach ((string name, double was, double set) in SetPoints(before.Known, after.Known))
        {
            output.WriteLine(
                string.Create(CultureInfo.InvariantCulture, $"  {name} was {was:0} and is {set:0} now.")
            );
        }
        return changes.Count(change => change.Weight == ChangeWeight.Matters);
    }

    private static IEnumerable<(string, double, double)> SetPoints(KnownMachine before, KnownMachine after)
    {
        (string Name, double Was, double Is)[] all =
        [
            ("The taught gap at full", before.GapAtFull, after.GapAtFull),
            ("The taught gap at empty", before.GapAtEmpty, after.GapAtEmpty),
            ("The target fill, %,", before.TargetPercent, after.TargetPercent),
        ];
        return all.Where(one => one.Was != one.Is);
    }

    private static string WordOf(FindingWeight weight) =>
        weight switch
        {
            FindingWeight.Halt => "DO NOT RUN",
            FindingWeight.Enter => "ENTER",
            _ => "LOOK",
        };

    private static string Text(Uncertain value) =>
        !value.IsKnown ? "-"
        : double.IsFinite(value.Plus)
            ? string.Create(CultureInfo.InvariantCulture, $"{value.Value:0.0} ± {value.Plus:0.0}")
        : string.Create(CultureInfo.InvariantCulture, $"{value.Value:0.0}");
}
