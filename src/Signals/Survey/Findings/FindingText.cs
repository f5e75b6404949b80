using System.Globalization;

namespace Dancerwatch.Signals.Survey.Findings;

/// <summary>Makes findings of a text with places for numbers, and holds what many of them end with.</summary>
internal static class FindingText
{
    public const string AtThePanel = "A person enters that at the machine's own panel.";
    public const string LockedOut = "Lock out by the site's procedure before a hand goes near.";

    public static SurveyFinding Halt(string text, params object?[] values) =>
        new(FindingWeight.Halt, Say(text, values));

    public static SurveyFinding Enter(string text, params object?[] values) =>
        new(FindingWeight.Enter, Say(text, values));

    public static SurveyFinding Look(string text, params object?[] values) =>
        new(FindingWeight.Look, Say(text, values));

    private static string Say(string text, object?[] values) =>
        string.Format(CultureInfo.InvariantCulture, text, values);
}
