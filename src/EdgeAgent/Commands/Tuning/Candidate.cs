using System.Text;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Commands.Tuning;

/// <summary>A setting of the warnings to try: some keys have other values, all others are each machine's own.</summary>
/// <param name="Name">The keys and their values; for people.</param>
/// <param name="Of">From a machine's present settings to those to try.</param>
internal sealed record Candidate(string Name, Func<WarningSettings, WarningSettings> Of)
{
    public const string UsualTry = "sensitivity=0.5,0.7,1.4,2";

    /// <summary>More would take longer than anybody waits.</summary>
    private const int Most = 200;

    private const string SensitivityKey = "sensitivity";
    private const string Present = "present";

    /// <summary>The present setting, then every combination of the values to try.</summary>
    /// <param name="tries">Each <c>KEY=VALUE,VALUE</c>; a key is one of the configuration's section warnings.</param>
    /// <returns>Null where one cannot be used; the error writer says why.</returns>
    public static IReadOnlyList<Candidate>? All(IReadOnlyList<string> tries, TextWriter error)
    {
        List<Candidate> combined = [new Candidate("", settings => settings)];
        foreach (string text in tries.Count > 0 ? tries : [UsualTry])
        {
            if (Parse(text, error) is not { } values)
                return null;
            combined = [.. combined.SelectMany(before => values.Select(value => Both(before, value)))];
            if (combined.Count > Most)
            {
                error.WriteLine(
                    $"--try makes {combined.Count} settings. Allowed: up to {Most}. Try fewer values."
                );
                return null;
            }
        }
        return [new Candidate(Present, settings => settings), .. combined];
    }

    private static Candidate Both(Candidate first, Candidate second) =>
        new(
            first.Name.Length == 0 ? second.Name : $"{first.Name} {second.Name}",
            settings => second.Of(first.Of(settings))
        );

    private static List<Candidate>? Parse(string text, TextWriter error)
    {
        int equals = text.IndexOf('=', StringComparison.Ordinal);
        string[] values = equals < 0 ? [] : text[(equals + 1)..].Split(',', StringSplitOptions.TrimEntries);
        if (equals < 1 || values.Any(value => value.Length == 0))
        {
            error.WriteLine($"--try is \"{text}\". Allowed: KEY=VALUE,VALUE. Try {UsualTry}");
            return null;
        }
        List<Candidate> candidates = [];
        foreach (string value in values)
        {
            if (One(text[..equals], value, error) is not { } candidate)
                return null;
            candidates.Add(candidate);
        }
        return candidates;
    }

    /// <summary>Reads the key as the configuration would, so that its range and its complaints are the same.</summary>
    private static Candidate? One(string key, string value, TextWriter error)
    {
        string[] path = key.Split('.');
        string json =
            path.Length == 1
                ? $$"""{ "{{path[0]}}": {{value}} }"""
                : $$"""{ "{{path[0]}}": { "{{string.Join('.', path[1..])}}": {{value}} } }""";
        List<SettingError> errors = [];
        WarningSettings? read = JsonTree.Parse(Encoding.UTF8.GetBytes(json), errors) is { } tree
            ? FileSection.Read(tree, "", errors, section => WarningsShape.Read(section))
            : null;
        // Of the deadband beside the machine's own limit nothing is known here.
        if (read is null || errors.Count > 0)
        {
            foreach (SettingError finding in errors)
                error.WriteLine($"--try {key}={value}: {finding}");
            return null;
        }
        string name = $"{key}={value}";
        if (key == SensitivityKey)
            return new Candidate(name, settings => settings with { Sensitivity = read.Sensitivity });
        Condition condition = Enum.GetValues<Condition>().First(one => one.Code() == path[0]);
        ConditionSettings tried = read[condition];
        return new Candidate(
            name,
            settings => settings.With(condition, Changed(settings[condition], tried, path[1]))
        );
    }

    private static ConditionSettings Changed(
        ConditionSettings present,
        ConditionSettings tried,
        string key
    ) =>
        key switch
        {
            "onDelaySeconds" => present with { OnDelaySeconds = tried.OnDelaySeconds },
            "offDelaySeconds" => present with { OffDelaySeconds = tried.OffDelaySeconds },
            "enabled" => present with { Enabled = tried.Enabled },
            _ when key.StartsWith("limit", StringComparison.Ordinal) => present with { Limit = tried.Limit },
            _ => present with { Deadband = tried.Deadband },
        };
}
