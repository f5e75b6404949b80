using System.Globalization;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Tests.Hosting;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Tests.Commands.Tags;

/// <summary>From a controller that nobody has told of to a configuration that runs.</summary>
public sealed class TagsCommandTests : IDisposable
{
    private readonly string _file = Path.Combine(
        Path.GetTempPath(),
        $"dancerwatch-first-{Guid.NewGuid():N}.jsonc"
    );

    public void Dispose() => File.Delete(_file);

    [Fact]
    public async Task From_three_hundred_tags_to_a_configuration_that_runs_without_a_tag_being_typed()
    {
        await using Plant plant = TeaPlant.Make();
        plant.Begin();

        ProgramRun run = await TagsAsync(plant, "--output", _file);

        Assert.Equal("", run.Error);
        Assert.True(
            int.Parse(run.Output.Split('\n')[0].Split(' ')[1], CultureInfo.InvariantCulture) >= 300,
            run.Output
        );
        SettingsResult written = SettingsFile.Load(_file);
        Assert.Empty(written.Errors.Select(error => error.ToString()));
        AgentSettings settings = written.Settings!;
        Assert.Equal(plant.Truth.Keys.Order(), settings.Machines.Select(machine => machine.Name).Order());
        foreach (WatchedMachineSettings machine in settings.Machines)
        {
            Dictionary<Signal, TagRequest> truth = plant.Truth[machine.Name];
            // Nothing is wrong, and nothing that is there is missed.
            Assert.Equal(
                truth.OrderBy(pair => pair.Key).Select(pair => $"{pair.Key} {pair.Value}"),
                machine.Signals.Select(source => $"{source.Signal} {source.Tag}")
            );
            Assert.Equal((600, 3500), (machine.Machine.Fill.GapAtEmpty, machine.Machine.Fill.GapAtFull));
        }
        WatchedMachineSettings Named(string name) =>
            settings.Machines.Single(machine => machine.Name == name);
        Assert.Equal(60, Named("tea-4").Signals.Single(source => source.Signal == Signal.UnwindSpeed).Scale);
        Assert.Equal(
            (-1, 1),
            Named("tea-3")
                .Signals.Where(source => source.Signal == Signal.BrakeOn)
                .Select(source => ((int)source.Scale, (int)source.Offset))
                .Single()
        );
        // Machines that are alike stand in one template.
        Assert.Contains(
            "{ \"name\": \"tea-2\", \"template\": \"tea\", \"with\": { \"tags\": \"Tea2\" } }",
            await File.ReadAllTextAsync(_file, TestContext.Current.CancellationToken),
            StringComparison.Ordinal
        );

        using GatedLog log = new();
        await using RunningAgent agent = new(settings, log);
        await Eventually.IsTrueAsync(
            () => agent.Agent.Watches.All(watch => watch.State() is { Quality: Quality.Good }),
            seconds: 20
        );
        Assert.Equal(0, plant.Controller.Counters.RefusedWrites + plant.Controller.Counters.Malformed);
    }

    [Fact]
    public async Task A_tie_is_named_and_a_machine_without_its_required_signals_is_left_out()
    {
        await using Plant plant = new();
        Two(plant);
        plant.Shows("Tea1.DancerPosition", TagType.Int, image => image.GapCounts + 3);
        plant.Begin();

        ProgramRun run = await TagsAsync(plant, "--output", _file);

        Assert.Equal(ExitCodes.Findings, run.Code);
        Assert.Contains(
            "LOOK  'tea-1' is left out: gap: Tea1.DancerGap and Tea1.DancerPosition fit alike (named dancer, gap;",
            run.Output,
            StringComparison.Ordinal
        );
        Assert.Contains("is written, but watches no machine yet", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Where_no_tag_gives_the_set_points_the_machine_waits_in_a_comment_until_somebody_does()
    {
        await using Plant plant = new();
        Two(plant);
        plant.Begin();

        ProgramRun run = await TagsAsync(plant, "--output", _file);

        Assert.Equal(ExitCodes.Findings, run.Code);
        Assert.Contains("tea-1 is not watched yet: its two set points", run.Output, StringComparison.Ordinal);
        string text = await File.ReadAllTextAsync(_file, TestContext.Current.CancellationToken);
        Assert.Contains(
            "    //   \"dancer\": { \"gapAtEmptyCounts\": ?, \"gapAtFullCounts\": ? },\n",
            text,
            StringComparison.Ordinal
        );
        Assert.StartsWith(
            "machines is an empty list.",
            Assert.Single(SettingsFile.Load(_file).Errors).ToString(),
            StringComparison.Ordinal
        );

        // By hand, as the file says.
        string byHand = string.Join(
                '\n',
                text.Split('\n')
                    .Select(line =>
                        line.StartsWith("    // ", StringComparison.Ordinal) && !char.IsAsciiLetter(line[7])
                            ? line[7..]
                            : line
                    )
            )
            .Replace("\"gapAtEmptyCounts\": ?", "\"gapAtEmptyCounts\": 600", StringComparison.Ordinal)
            .Replace("\"gapAtFullCounts\": ?", "\"gapAtFullCounts\": 3500", StringComparison.Ordinal);
        await File.WriteAllTextAsync(_file, byHand, TestContext.Current.CancellationToken);
        Assert.Empty(SettingsFile.Load(_file).Errors.Select(error => error.ToString()));

        // Or on the command line.
        run = await TagsAsync(
            plant,
            "--output",
            _file,
            "--replace",
            "--gap-at-empty",
            "600",
            "--gap-at-full",
            "3500"
        );
        Assert.Equal(ExitCodes.Ok, run.Code);
        Assert.Equal(600, SettingsFile.Load(_file).Settings!.Machines[0].Machine.Fill.GapAtEmpty);
    }

    [Fact]
    public async Task A_file_that_is_there_is_not_written_over_unless_told_so()
    {
        await File.WriteAllTextAsync(_file, "mine", TestContext.Current.CancellationToken);

        ProgramRun run = await ProgramRun.Of("tags", "--host", "192.0.2.10", "--output", _file);

        Assert.Equal(ExitCodes.File, run.Code);
        Assert.Equal(
            $"{_file} is there already, and nothing was done. Name another file, or add --replace.\n",
            run.Error
        );
        Assert.Equal("mine", await File.ReadAllTextAsync(_file, TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task A_list_has_every_tag_with_type_and_dimension_and_asks_for_no_value()
    {
        await using Plant plant = TeaPlant.Make();
        plant.Begin();

        ProgramRun run = await TagsAsync(plant, "--list");

        Assert.Equal(ExitCodes.Ok, run.Code);
        Assert.Contains("\nTea1.DancerGap  INT\n", $"\n{run.Output}", StringComparison.Ordinal);
        Assert.Contains("\nDancer_Pos  INT[8]\n", run.Output, StringComparison.Ordinal);
        Assert.Contains("\nProgram:Tea4.Dancer.Position  INT\n", run.Output, StringComparison.Ordinal);
        Assert.Equal(0, plant.Controller.Counters.RequestsOf(0x0A));
    }

    [Fact]
    public async Task Ten_thousand_tags_named_like_a_dancers_take_a_page()
    {
        await using Plant plant = new();
        Two(plant);
        for (int i = 0; i < 10_000; i++)
            plant.Other($"Program:P{i / 500}.Mixer{i}_DancerPos", TagType.Int, 2_000, 100);
        plant.Begin();

        // Among so many, a busy computer reads each a few times in a second: too few to see one move.
        ProgramRun run = await TagsAsync(plant, seconds: 4, "--gap-at-empty", "600", "--gap-at-full", "3500");

        Assert.Equal("", run.Error);
        Assert.StartsWith("Tags: 10002\n", run.Output, StringComparison.Ordinal);
        Assert.Contains("LOOK  9980 more like these are not told", run.Output, StringComparison.Ordinal);
        Assert.Contains("Machines proposed: 1;", run.Output, StringComparison.Ordinal);
        Assert.InRange(run.Output.Count(letter => letter == '\n'), 20, 40);
    }

    [Fact]
    public async Task A_controller_that_is_not_there_is_one_line_and_an_exit_code()
    {
        ProgramRun run = await ProgramRun.Of(
            "tags",
            "--host",
            "127.0.0.1",
            "--port",
            LoopbackPort.Free().ToString(CultureInfo.InvariantCulture)
        );

        Assert.Equal(ExitCodes.Unreachable, run.Code);
        Assert.Contains(
            "refused the connection: nothing listens on that port.",
            run.Error,
            StringComparison.Ordinal
        );
        Assert.Equal(1, run.Error.Count(letter => letter == '\n'));
    }

    [Theory]
    [InlineData("--host", "http://192.0.2.10", "--host must be a host name or an address")]
    [InlineData("--route", "1", "--route must be pairs of port")]
    [InlineData("--site", "a/b", "--site must be 1 to 64 characters")]
    [InlineData("--seconds", "-1", "--seconds must be a number from 0 to 600. Try 3.")]
    public async Task Options_that_cannot_be_are_refused(string option, string value, string sentence)
    {
        string[] host = option == "--host" ? [] : ["--host", "192.0.2.10"];

        ProgramRun run = await ProgramRun.Of(["tags", .. host, option, value]);

        Assert.Equal(ExitCodes.Usage, run.Code);
        Assert.Contains(sentence, run.Error, StringComparison.Ordinal);
    }

    // The least a machine needs.
    private static void Two(Plant plant)
    {
        plant.Machine("tea-1");
        plant.Has(Signal.Gap, "Tea1.DancerGap", TagType.Int);
        plant.Has(Signal.UnwindSpeed, "Tea1.UnwindSpeed", TagType.Real);
    }

    private static Task<ProgramRun> TagsAsync(Plant plant, params string[] more) =>
        TagsAsync(plant, seconds: 1, more);

    private static Task<ProgramRun> TagsAsync(Plant plant, int seconds, params string[] more) =>
        ProgramRun.Of([
            "tags",
            "--host",
            "127.0.0.1",
            "--port",
            plant.Controller.EndPoint.Port.ToString(CultureInfo.InvariantCulture),
            "--seconds",
            seconds.ToString(CultureInfo.InvariantCulture),
            .. more,
        ]);
}
