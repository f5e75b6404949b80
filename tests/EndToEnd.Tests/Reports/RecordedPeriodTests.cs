using System.Text.Json;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.EdgeAgent.Tests.Commands;
using Dancerwatch.EndToEnd.Tests.Survey;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.EndToEnd.Tests.Reports;

/// <summary>Periods as people name them, over recordings: days on which clocks are put, shifts, rolls, a change.</summary>
/// <remarks>
/// Clocks in Berlin are put on at 01:00 UTC on 2026-03-29 and back at 01:00 UTC on 2026-10-25 (IANA data, read with zdump).
/// </remarks>
public sealed class RecordedPeriodTests : IDisposable
{
    private const string Berlin = "Europe/Berlin";
    private readonly TemporaryFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Theory]
    [InlineData("2026-03-29", 23, "2026-03-28T23:00Z")]
    [InlineData("2026-10-25", 25, "2026-10-24T22:00Z")]
    [InlineData("2026-11-25", 24, "2026-11-24T23:00Z")]
    public async Task A_day_has_the_hours_it_has_in_its_zone(string day, int hours, string begin)
    {
        DateTimeOffset from = Time(begin);
        using (RecordedDays recorded = new(_folder.PathOf("recordings"), from.AddHours(-2)))
            recorded.RunFor(TimeSpan.FromHours(hours + 4));

        JsonElement report = await ReportAsync("--day", day, "--time-zone", Berlin);

        Assert.Equal($"day {day}", report.GetProperty("asked").GetString());
        Assert.Equal(Berlin, report.GetProperty("timeZone").GetString());
        Assert.Equal(hours * 3600 * RecordedDays.PerSecond, report.GetProperty("readings").GetInt64());
        Assert.Equal(from, At(report, "from"));
        Assert.Equal(
            from.AddHours(hours) - TimeSpan.FromSeconds(1.0 / RecordedDays.PerSecond),
            At(report, "to")
        );
        // Nothing is lost and nothing counted twice where clocks are put.
        Assert.Equal(hours, report.GetProperty("hours").GetProperty("running").GetDouble(), 0.05);
        long[] minutes =
        [
            .. report
                .GetProperty("timeline")
                .GetProperty("time")
                .EnumerateArray()
                .Select(time => time.GetInt64()),
        ];
        Assert.Equal(minutes.Order().Distinct(), minutes);
    }

    [Fact]
    public async Task A_shift_is_so_many_hours_long_also_where_clocks_are_put_back_in_it()
    {
        using (RecordedDays recorded = new(_folder.PathOf("recordings"), Time("2026-10-24T18:00Z")))
            recorded.RunFor(TimeSpan.FromHours(14));

        JsonElement report = await ReportAsync("--shift", "2026-10-24T22:00", "--time-zone", Berlin);
        JsonElement night = await ReportAsync(
            "--shift",
            "2026-10-24T22:00",
            "--shift-hours",
            "9",
            "--time-zone",
            Berlin
        );

        Assert.Equal(Time("2026-10-24T20:00Z"), At(report, "from"));
        Assert.Equal(8 * 3600 * RecordedDays.PerSecond, report.GetProperty("readings").GetInt64());
        // Until six in the morning by the clock on the wall.
        Assert.Equal(9 * 3600 * RecordedDays.PerSecond, night.GetProperty("readings").GetInt64());
    }

    [Fact]
    public async Task Rolls_are_counted_back_from_the_latest_and_each_lasts_from_change_to_change()
    {
        DateTimeOffset begin = Time("2026-11-25T06:00Z");
        VirtualDancer machine = new(new MachineParameters { RollDiameterMillimeters = 300 }, seed: 7);
        List<DateTimeOffset> changes = [];
        using (RecordedDays recorded = new(_folder.PathOf("recordings"), begin))
        {
            for (int roll = 0; roll < 3; roll++)
            {
                recorded.Watch(machine, seconds: 240);
                machine.Stop();
                recorded.Watch(machine, seconds: 30);
                machine.ChangeRoll(340 + (20 * roll));
                changes.Add(recorded.Now);
                recorded.Watch(machine, seconds: 30);
                machine.Start();
            }
            recorded.Watch(machine, seconds: 200);
        }

        JsonElement latest = await ReportAsync("--roll", "1");
        JsonElement before = await ReportAsync("--roll", "2");
        JsonElement first = await ReportAsync("--roll", "4");
        ProgramRun tooFar = await RunAsync("--roll", "5");

        Assert.Equal("roll 2 of all that was recorded", before.GetProperty("asked").GetString());
        Assert.Equal(begin, At(first, "from"));
        IsNear(changes[0], At(first, "to"));
        IsNear(changes[1], At(before, "from"));
        IsNear(changes[2], At(before, "to"));
        IsNear(changes[2], At(latest, "from"));
        Assert.Equal(ExitCodes.Usage, tooFar.Code);
        Assert.Contains("holds 4 of tea-1. Allowed: 1, the latest, to 4.", tooFar.Error);
    }

    [Fact]
    public async Task A_change_that_halves_the_swing_is_told_from_chance()
    {
        DateTimeOffset begin = Time("2026-11-25T06:00Z");
        using (RecordedDays recorded = new(_folder.PathOf("recordings"), begin))
        {
            recorded.RunFor(TimeSpan.FromHours(9), swing: 30);
            recorded.RunFor(TimeSpan.FromHours(9), swing: 15);
        }

        JsonElement report = await ReportAsync("--change", "2026-11-25T16:00", "--time-zone", Berlin);

        JsonElement change = report.GetProperty("change");
        Assert.Equal(begin.AddHours(9), At(change, "time"));
        JsonElement margin = change.GetProperty("margin");
        // Nine hours alike, and nine better ones alike: U = 0 of 81. By hand, with two ties of nine, variance 81 / 12 * (19 -
        // 2 * (9^3 - 9) / (18 * 17)) = 96.49, z = (40.5 - 0.5) / 9.823 and p = erfc(z / sqrt(2)).
        Assert.Equal(4.657e-5, margin.GetProperty("pValue").GetDouble(), 1e-8);
        Assert.InRange(margin.GetProperty("medianAfter").GetDouble(), 36, 44);
        Assert.InRange(margin.GetProperty("medianBefore").GetDouble(), 21, 29);
        Assert.Contains(
            "The margin is larger after the change, and chance alone seldom does that",
            change.GetProperty("verdict").GetString()
        );
    }

    [Theory]
    [InlineData(
        "--day is \"2026-10-25T06:00\". Allowed: a date. Try 2026-11-25.",
        "--day",
        "2026-10-25T06:00"
    )]
    [InlineData("--day is \"25.10.2026\". Allowed: a date. Try 2026-11-25.", "--day", "25.10.2026")]
    [InlineData("--day is \"2026-02-30\". Allowed: a date.", "--day", "2026-02-30")]
    [InlineData("--shift is \"06:00\". Allowed: a date, with or without a time.", "--shift", "06:00")]
    [InlineData(
        "--shift is \"2026-03-29T02:30\". Clocks in Europe/Berlin were put on then, and no such time was. Try 2026-03-29T03:30.",
        "--shift",
        "2026-03-29T02:30"
    )]
    [InlineData(
        "--change is \"2026-10-25T02:30\". Clocks in Europe/Berlin were put back then, and it was twice. Say which: 2026-10-25T02:30+02:00 or 2026-10-25T02:30+01:00.",
        "--change",
        "2026-10-25T02:30"
    )]
    [InlineData("--shift-hours must be a number from 0.1 to 48. Try 8.", "--shift-hours", "0")]
    [InlineData("--shift-hours must be a number from 0.1 to 48. Try 8.", "--shift-hours", "eight")]
    [InlineData("--roll must be a whole number from 1, the latest roll, on.", "--roll", "latest")]
    public async Task What_is_no_period_is_told_in_one_sentence(string complaint, params string[] asked)
    {
        ProgramRun run = await RunAsync([.. asked, "--time-zone", Berlin]);

        Assert.Equal(ExitCodes.Usage, run.Code);
        string line = Assert.Single(
            run.Error.Split('\n', StringSplitOptions.RemoveEmptyEntries),
            line => !line.StartsWith("Type 'dancerwatch report --help'", StringComparison.Ordinal)
        );
        Assert.StartsWith(complaint, line, StringComparison.Ordinal);
        Assert.False(File.Exists(_folder.PathOf("out.json")));
    }

    private async Task<JsonElement> ReportAsync(params string[] asked)
    {
        ProgramRun run = await RunAsync(asked);
        Assert.True(run.Code == ExitCodes.Ok, run.Error + run.Output);
        return JsonSerializer.Deserialize<JsonElement>(
            await File.ReadAllTextAsync(_folder.PathOf("out.json"), TestContext.Current.CancellationToken)
        );
    }

    private Task<ProgramRun> RunAsync(params string[] asked)
    {
        File.WriteAllText(_folder.PathOf("hall.jsonc"), RecordedDays.Configuration);
        return ProgramRun.Of([
            "report",
            "--config",
            _folder.PathOf("hall.jsonc"),
            "--input",
            _folder.PathOf("recordings"),
            "--machine",
            "tea-1",
            "--json",
            _folder.PathOf("out.json"),
            .. asked,
        ]);
    }

    private static void IsNear(DateTimeOffset expected, DateTimeOffset actual) =>
        Assert.InRange((actual - expected).TotalSeconds, -5, 40);

    private static DateTimeOffset At(JsonElement element, string name) =>
        DateTimeOffset.FromUnixTimeMilliseconds(element.GetProperty(name).GetInt64());

    private static DateTimeOffset Time(string text) => DateTimeOffset.Parse(text, null);
}
