namespace Dancerwatch.Bench.FleetHistory.Checking;

/// <summary>The settings that were given another value than the line's, against those that are found.</summary>
internal static class SettingCheck
{
    public const string Question = "settings-that-differ.sql";

    public static IEnumerable<Finding> Check(IReadOnlyList<AnswerRow> answer, IReadOnlyList<AnswerRow> truth)
    {
        HashSet<string> told = [.. answer.Select(Key)];
        HashSet<string> odd = [.. truth.Select(Key)];
        yield return new Finding(
            Question,
            told.SetEquals(odd),
            $"{odd.Count} settings differ, {told.Count} found; missed: {List(odd.Except(told))}; found and like the others: {List(told.Except(odd))}"
        );
    }

    private static string List(IEnumerable<string> keys)
    {
        string[] all = [.. keys];
        return all.Length == 0 ? "none" : string.Join(", ", all);
    }

    private static string Key(AnswerRow row) =>
        $"{row.Text("site")}/{row.Text("machine")} {row.Text("setting")} {row.Number("value")}";
}
