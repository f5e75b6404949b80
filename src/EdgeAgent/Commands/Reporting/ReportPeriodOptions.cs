using System.CommandLine;
using System.Globalization;
using Dancerwatch.EdgeAgent.Recording;

namespace Dancerwatch.EdgeAgent.Commands.Reporting;

/// <summary>What a report is of.</summary>
/// <param name="Roll">Which roll in the period, 1 for the latest; null for the whole period.</param>
/// <param name="Words">The period as it was asked for.</param>
internal sealed record ReportPeriod(
    Period Period,
    int? Roll,
    DateTimeOffset? Change,
    TimeZoneInfo Zone,
    string Words
);

/// <summary>A period as people name it: from and to, a day, a shift or a roll; times are of the zone that is named.</summary>
internal sealed class ReportPeriodOptions
{
    private readonly Option<string?> _from = Text("--from", "Begin with readings of this time.", "TIME");
    private readonly Option<string?> _to = Text("--to", "End before this time.", "TIME");
    private readonly Option<string?> _day = Text("--day", "A day, from midnight to midnight.", "DATE");
    private readonly Option<string?> _shift = Text(
        "--shift",
        "A shift by its begin; --shift-hours says how long.",
        "TIME"
    );
    private readonly Option<double> _hours = new("--shift-hours")
    {
        Description = "Length of a shift, h.",
        HelpName = "HOURS",
        DefaultValueFactory = _ => 8,
    };
    private readonly Option<int?> _roll = new("--roll")
    {
        Description =
            "A roll, counted back from the latest, which is 1; within --from and --to where these are named.",
        HelpName = "NUMBER",
    };
    private readonly Option<string?> _change = Text(
        "--change",
        "Compares before and after this time, when something was changed at the machine.",
        "TIME"
    );
    private readonly Option<string> _zone = new("--time-zone")
    {
        Description = "Zone of the times named here and told in the report, by its IANA name.",
        HelpName = "ZONE",
        DefaultValueFactory = _ => "UTC",
    };

    public void AddTo(Command command)
    {
        foreach (Option option in new Option[] { _from, _to, _day, _shift, _hours, _roll, _change, _zone })
            command.Add(option);
        _hours.MustBe(0.1, 48, "--shift-hours must be a number from 0.1 to 48. Try 8.");
        _roll.MustBe(1, int.MaxValue, "--roll must be a whole number from 1, the latest roll, on. Try 1.");
        command.Validators.Add(result =>
        {
            bool bounds = result.GetValue(_from) is not null || result.GetValue(_to) is not null;
            int named =
                (bounds ? 1 : 0)
                + (result.GetValue(_day) is null ? 0 : 1)
                + (result.GetValue(_shift) is null ? 0 : 1);
            if (named > 1)
                result.AddError("Name one period: --from and --to, or --day, or --shift.");
        });
    }

    /// <returns>Null where something is wrong; it was then said.</returns>
    public ReportPeriod? Of(ParseResult parsed, TextWriter error)
    {
        string name = parsed.GetRequiredValue(_zone);
        if (!TimeZoneInfo.TryFindSystemTimeZoneById(name, out TimeZoneInfo? zone))
        {
            error.WriteLine($"--time-zone is \"{name}\". Allowed: an IANA name. Try Europe/London, or UTC.");
            return null;
        }
        bool isRight = true;
        DateTimeOffset? Time(Option<string?> option)
        {
            if (parsed.GetValue(option) is not { } text)
                return null;
            string? trouble = "Allowed: a date. Try 2026-11-25.";
            if (
                (option == _day ? ZonedTime.Day(text, zone) : ZonedTime.Parse(text, zone, out trouble)) is
                { } time
            )
                return time;
            error.WriteLine($"{option.Name} is \"{text}\". {trouble}");
            isRight = false;
            return null;
        }
        DateTimeOffset? from = Time(_from);
        DateTimeOffset? to = Time(_to);
        DateTimeOffset? day = Time(_day);
        DateTimeOffset? shift = Time(_shift);
        DateTimeOffset? change = Time(_change);
        if (!isRight)
            return null;
        string words = "all that was recorded";
        if (day is { } date)
        {
            // Not 24 h: a day on which clocks are put on or back has 23 or 25.
            (from, to) = (date, ZonedTime.NextMidnight(date, zone));
            words = $"day {parsed.GetValue(_day)}";
        }
        else if (shift is { } begin)
        {
            double hours = parsed.GetValue(_hours);
            (from, to) = (begin, begin.AddHours(hours));
            words = string.Create(
                CultureInfo.InvariantCulture,
                $"shift of {hours} h from {parsed.GetValue(_shift)}"
            );
        }
        else if (from is not null || to is not null)
            words =
                $"{parsed.GetValue(_from) ?? "the first reading"} to {parsed.GetValue(_to) ?? "the last"}";
        Period period = new(from ?? DateTimeOffset.MinValue, to ?? DateTimeOffset.MaxValue);
        if (period.From >= period.To)
        {
            error.WriteLine(
                $"The period {words} ends before it begins. Name a --to that is later than --from."
            );
            return null;
        }
        int? roll = parsed.GetValue(_roll);
        return new(period, roll, change, zone, roll is null ? words : $"roll {roll} of {words}");
    }

    private static Option<string?> Text(string name, string description, string help) =>
        new(name) { Description = description, HelpName = help };
}
