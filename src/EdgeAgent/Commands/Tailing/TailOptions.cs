using System.CommandLine;
using System.CommandLine.Parsing;
using Dancerwatch.EdgeAgent.Commands.Reporting;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Commands.Tailing;

/// <summary>What is told, how, and when it ends.</summary>
internal sealed class TailOptions
{
    private readonly Option<string[]> _machine = Many(
        "--machine",
        "Of this machine only; may be given more than once.",
        "NAME"
    );
    private readonly Option<string> _priority = new("--priority")
    {
        Description = $"Of this priority or a higher one: {string.Join(", ", TailFilter.PriorityCodes)}.",
        HelpName = "PRIORITY",
        DefaultValueFactory = _ => TailFilter.PriorityCodes[0],
    };
    private readonly Option<string[]> _condition = Many(
        "--condition",
        $"Of this condition only; may be given more than once: {string.Join(", ", TailFilter.ConditionCodes)}.",
        "CONDITION"
    );
    private readonly Option<bool> _json = new("--json")
    {
        Description = "Payloads as they came, one a line, instead of words.",
    };
    private readonly Option<double?> _for = new("--for")
    {
        Description = "Ends after so many seconds. Exit code 1 where a warning was told, 0 where none was.",
        HelpName = "SECONDS",
    };
    private readonly Option<bool> _first = new("--first")
    {
        Description = "Ends with the first warning that is told, with exit code 1.",
    };

    public Option<DateTimeOffset?> Since { get; } =
        new("--since")
        {
            Description =
                "First tells what was warned of from this time on, out of the recordings, then goes on live; an event of the second in between may be missed. With --config only. Without a zone it is UTC.",
            HelpName = "TIME",
            CustomParser = result => Time(result),
        };

    public Option<string?> Input { get; } =
        new("--input")
        {
            Description = "Directory of recordings, with --since; left out: the configuration's.",
            HelpName = "PATH",
        };

    public Option<bool> HistoryOnly { get; } =
        new("--history-only")
        {
            Description =
                "Ends after what --since tells, without listening. Exit code 1 where a warning was told, 0 where none was.",
        };

    public void AddTo(Command command)
    {
        foreach (
            Option option in new Option[]
            {
                _machine,
                _priority,
                _condition,
                _json,
                Since,
                Input,
                HistoryOnly,
                _for,
                _first,
            }
        )
            command.Add(option);
        _priority.Validators.Add(option => Check(option, TailFilter.PriorityCodes));
        _condition.Validators.Add(option => Check(option, TailFilter.ConditionCodes));
        _for.MustBe(0.1, 604_800, "--for must be a number of seconds from 0.1 to 604800. Try 60.");
        command.Validators.Add(result =>
        {
            if (
                result.GetResult(Since) is null
                && (result.GetValue(Input) is not null || result.GetValue(HistoryOnly))
            )
                result.AddError("--input and --history-only go with --since: from when on?");
        });
    }

    /// <summary>Whether the exit code tells if something was warned of.</summary>
    public bool IsQuestion(ParseResult parsed) =>
        parsed.GetValue(_for) is not null || parsed.GetValue(_first) || parsed.GetValue(HistoryOnly);

    /// <summary>How long is listened; null for ever.</summary>
    public TimeSpan? For(ParseResult parsed) =>
        parsed.GetValue(_for) is { } seconds ? TimeSpan.FromSeconds(seconds) : null;

    /// <summary>Machines that were named.</summary>
    public IReadOnlyCollection<string> Machines(ParseResult parsed) => parsed.GetValue(_machine) ?? [];

    public TailVoice Voice(ParseResult parsed)
    {
        TextWriter output = parsed.InvocationConfiguration.Output;
        TailFilter filter = new(
            Machines(parsed),
            (Priority)Place(TailFilter.PriorityCodes, parsed.GetRequiredValue(_priority)),
            parsed.GetValue(_condition) ?? []
        );
        return new TailVoice(
            filter,
            output,
            TimeProvider.System.LocalTimeZone,
            parsed.GetValue(_json),
            IsTerminal(output),
            parsed.GetValue(_first)
        );
    }

    // NO_COLOR: an informal standard of programs that can do without (no-color.org, from memory).
    private static bool IsTerminal(TextWriter output) =>
        ReferenceEquals(output, Console.Out)
        && !Console.IsOutputRedirected
        && string.IsNullOrEmpty(Environment.GetEnvironmentVariable("NO_COLOR"));

    private static int Place(IReadOnlyList<string> codes, string code)
    {
        int place = codes.Count - 1;
        while (place > 0 && codes[place] != code)
            place--;
        return place;
    }

    private static void Check(OptionResult option, IReadOnlyList<string> allowed)
    {
        foreach (Token token in option.Tokens)
        {
            if (!allowed.Contains(token.Value))
                option.AddError(
                    $"{option.Option.Name} is \"{token.Value}\". Allowed: {string.Join(", ", allowed)}."
                );
        }
    }

    private static DateTimeOffset? Time(ArgumentResult result)
    {
        string text = result.Tokens[0].Value;
        if (ZonedTime.Parse(text, TimeZoneInfo.Utc, out string? trouble) is { } time)
            return time;
        result.AddError($"--since is \"{text}\". {trouble}");
        return null;
    }

    private static Option<string[]> Many(string name, string description, string help) =>
        new(name) { Description = description, HelpName = help };
}
