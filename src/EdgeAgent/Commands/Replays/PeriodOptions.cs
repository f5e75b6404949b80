using System.CommandLine;
using System.CommandLine.Parsing;
using System.Globalization;
using Dancerwatch.EdgeAgent.Recording;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary><c>--from</c> and <c>--to</c>: which stretch of a history.</summary>
internal sealed class PeriodOptions
{
    public Option<DateTimeOffset?> From { get; } =
        Time("--from", "Begin with readings of this time. Without a zone it is UTC.");

    public Option<DateTimeOffset?> To { get; } =
        Time("--to", "End before this time. Without a zone it is UTC.");

    public Period Of(ParseResult parsed) =>
        new(parsed.GetValue(From) ?? DateTimeOffset.MinValue, parsed.GetValue(To) ?? DateTimeOffset.MaxValue);

    private static Option<DateTimeOffset?> Time(string name, string description) =>
        new(name)
        {
            Description = description,
            HelpName = "TIME",
            CustomParser = result => Parse(result, name),
        };

    private static DateTimeOffset? Parse(ArgumentResult result, string name)
    {
        string text = result.Tokens[0].Value;
        if (
            DateTimeOffset.TryParse(
                text,
                CultureInfo.InvariantCulture,
                DateTimeStyles.AssumeUniversal | DateTimeStyles.AdjustToUniversal,
                out DateTimeOffset time
            )
        )
            return time;
        result.AddError(
            $"{name} is \"{text}\". Allowed: a date, with or without a time. Try 2026-11-25T06:00."
        );
        return null;
    }
}
