using System.Globalization;
using System.Text;
using Dancerwatch.EdgeAgent.Mqtt;

namespace Dancerwatch.EdgeAgent.Commands.Tailing;

/// <summary>
/// A warning as a person reads it: one line that says it all, and for one that is raised the cause, the evidence and what
/// to look at under it.
/// </summary>
internal static class WarningText
{
    private const int Indent = 10;

    // A further cause that would be printed with 0 % tells nothing, and a trip foretold with 0 % reads as if all were well.
    private const double LeastShare = 0.005;

    /// <param name="zone">Time zone of the reader.</param>
    /// <param name="colour">Colours the first line by the terminal's own colours (ECMA-48), beside what the words say.</param>
    /// <returns>Whole lines, the last one ended.</returns>
    public static string Of(ReceivedEvent heard, TimeZoneInfo zone, bool colour = false)
    {
        StringBuilder text = new();
        string headline = Plain($"{heard.Machine}  {heard.Condition} {heard.State}{Headline(heard)}");
        text.Append(
            CultureInfo.InvariantCulture,
            $"{Clock(heard.Time, zone), -Indent}{(colour ? $"{Colour(heard)}{headline}\e[0m" : headline)}\n"
        );
        if (heard.State != "cleared")
        {
            Line(text, "cause", Causes(heard));
            Line(text, "evidence", heard.Evidence);
            Line(text, "look at", heard.Check);
        }
        return text.ToString();
    }

    /// <inheritdoc cref="Of(ReceivedEvent, TimeZoneInfo, bool)"/>
    public static string Of(ReceivedLoss heard, TimeZoneInfo zone) =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"{Clock(heard.Time, zone), -Indent}{Plain(heard.Agent)}  {heard.Lost.Events} of its events, number {heard.Lost.First} to {heard.Lost.Last}, are lost\n"
        );

    private static string Colour(ReceivedEvent heard) =>
        (heard.State, heard.Priority) switch
        {
            ("cleared", _) => "\e[2m",
            (_, "high") => "\e[1;31m",
            (_, "medium") => "\e[33m",
            _ => "\e[36m",
        };

    private static string Clock(DateTimeOffset time, TimeZoneInfo zone) =>
        TimeZoneInfo.ConvertTime(time, zone).ToString("HH:mm:ss", CultureInfo.InvariantCulture);

    private static string Headline(ReceivedEvent heard)
    {
        List<string> parts = [];
        if (heard.State != "cleared" && heard.Priority is not null)
            parts.Add($"{heard.Priority} priority");
        if (heard.Side is not null)
            parts.Add($"{heard.Side} side");
        if (heard.Fill is { } fill)
            parts.Add(string.Create(CultureInfo.InvariantCulture, $"fill {fill:F0} %"));
        if (heard.State != "cleared")
        {
            if (heard.SecondsToLimit is { } seconds)
                parts.Add($"{Durations.InWords(seconds)} to the trip");
            else if (heard.Probability is { } probability and >= LeastShare)
                parts.Add(
                    string.Create(CultureInfo.InvariantCulture, $"trip within 5 min: {probability:P0}")
                );
        }
        return parts.Count == 0 ? "" : $": {string.Join(", ", parts)}";
    }

    private static string Causes(ReceivedEvent heard) =>
        string.Join(
            ", then ",
            heard
                .Causes.Where((ranked, place) => place == 0 || ranked.Confidence is null or >= LeastShare)
                .Select(ranked =>
                    ranked.Confidence is { } confidence and > 0
                        ? string.Create(CultureInfo.InvariantCulture, $"{ranked.Cause} ({confidence:P0})")
                        : ranked.Cause
                )
        );

    private static void Line(StringBuilder text, string name, string? value)
    {
        if (!string.IsNullOrEmpty(value))
            text.Append(CultureInfo.InvariantCulture, $"{"", Indent}{name, -Indent}{Plain(value)}\n");
    }

    /// <summary>Without control characters: what comes from a broker must not steer the reader's terminal.</summary>
    private static string Plain(string text) =>
        string.Create(
            text.Length,
            text,
            static (plain, original) =>
            {
                for (int i = 0; i < plain.Length; i++)
                    plain[i] = char.IsControl(original[i]) ? ' ' : original[i];
            }
        );
}
