using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Tests.Configuration;

/// <summary>Machines that are alike, from one template.</summary>
public sealed class TemplateTests
{
    private const string Text = """
        {
          "site": "leafside",
          "area": "tea-hall",
          "controllers": [{ "name": "packing-a", "host": "192.0.2.10" }],
          "templates": {
            "bagger": {
              "line": "line-{number}",
              "controller": "packing-a",
              "signals": {
                "gap": { "tag": "{tags}.DancerGap", "type": "INT" },
                "unwindSpeed": { "tag": "{tags}.UnwindSpeed", "type": "REAL", "scale": 0.06 },
                "brakeOn": { "tag": "{tags}.BrakeOn", "type": "BOOL" }
              },
              "dancer": { "gapAtEmptyCounts": 600, "gapAtFullCounts": 3500 }
            }
          },
          "machines": [
            { "name": "tea-1", "template": "bagger", "with": { "tags": "Tea1" } },
            {
              "name": "tea-02",
              "template": "bagger",
              "with": { "tags": "Herb2" },
              "line": "line-9",
              "signals": { "brakeOn": null, "unwindSpeed": { "scale": 60 } },
              "dancer": { "gapAtFullCounts": 3380 }
            }
          ]
        }
        """;

    [Fact]
    public void A_machine_has_all_its_template_has_with_its_own_words_in_it()
    {
        WatchedMachineSettings machine = Load(Text)[0];

        Assert.Equal(("tea-1", "line-1", "packing-a"), (machine.Name, machine.Line, machine.Controller));
        Assert.Equal(
            [
                new SignalSource(Signal.Gap, new TagRequest("Tea1.DancerGap", TagType.Int)),
                new SignalSource(Signal.UnwindSpeed, new TagRequest("Tea1.UnwindSpeed", TagType.Real), 0.06),
                new SignalSource(Signal.BrakeOn, new TagRequest("Tea1.BrakeOn", TagType.Bool)),
            ],
            machine.Signals
        );
        Assert.Equal((600, 3500), (machine.Machine.Fill.GapAtEmpty, machine.Machine.Fill.GapAtFull));
    }

    [Fact]
    public void What_stands_in_the_machine_wins_key_by_key_and_null_takes_a_key_out()
    {
        WatchedMachineSettings machine = Load(Text)[1];

        Assert.Equal("line-9", machine.Line);
        Assert.Equal(
            [
                new SignalSource(Signal.Gap, new TagRequest("Herb2.DancerGap", TagType.Int)),
                new SignalSource(Signal.UnwindSpeed, new TagRequest("Herb2.UnwindSpeed", TagType.Real), 60),
            ],
            machine.Signals
        );
        Assert.Equal((600, 3380), (machine.Machine.Fill.GapAtEmpty, machine.Machine.Fill.GapAtFull));
    }

    [Theory]
    [InlineData(
        "\"with\": { \"tags\": \"Tea1\" }",
        "\"line\": \"line-1\"",
        "machines[tea-1].with.tags (template bagger) is missing. Allowed: text to stand for {tags} in signals.gap.tag. Add \"with\": { \"tags\": \"...\" } to the machine."
    )]
    [InlineData(
        "\"tags\": \"Tea1\"",
        "\"tag\": \"Tea1\"",
        "machines[tea-1].with.tag stands nowhere in template bagger. Try \"tags\"."
    )]
    [InlineData(
        "\"tags\": \"Tea1\"",
        "\"tags\": \"Tea 1\"",
        "machines[tea-1].signals.gap.tag (template bagger) is \"Tea 1.DancerGap\". Allowed: a tag's symbolic name, such as Tea1.DancerGap, Program:Packing.Gap, Flags[3] or Status.5. Copy the name from the controller's tag list.",
        "machines[tea-1].signals.unwindSpeed.tag (template bagger) is \"Tea 1.UnwindSpeed\". Allowed: a tag's symbolic name, such as Tea1.DancerGap, Program:Packing.Gap, Flags[3] or Status.5. Copy the name from the controller's tag list.",
        "machines[tea-1].signals.brakeOn.tag (template bagger) is \"Tea 1.BrakeOn\". Allowed: a tag's symbolic name, such as Tea1.DancerGap, Program:Packing.Gap, Flags[3] or Status.5. Copy the name from the controller's tag list."
    )]
    [InlineData(
        "\"name\": \"tea-1\"",
        "\"name\": \"tea\"",
        "machines[tea].with.number (template bagger) is missing. Allowed: text to stand for {number} in line. Add \"with\": { \"number\": \"...\" } to the machine."
    )]
    [InlineData(
        "\"tea-1\", \"template\": \"bagger\"",
        "\"tea-1\", \"template\": \"bager\"",
        "machines[tea-1].template is \"bager\". Allowed: a name from templates: bagger. Try \"bagger\"."
    )]
    [InlineData(
        "\"tea-1\", \"template\"",
        "\"tea-1\", \"tempalte\"",
        "machines[tea-1].tempalte is not a known key. Try \"template\"."
    )]
    [InlineData(
        ", \"gapAtFullCounts\": 3500",
        "",
        "machines[tea-1].dancer.gapAtFullCounts (template bagger) is missing. Add it to the template, or to the machine."
    )]
    [InlineData(
        "\"gapAtFullCounts\": 3380",
        "\"gapAtFullCounts\": 5000",
        "machines[tea-02].dancer.gapAtFullCounts is 5000. Allowed: within the sensor's range of 0 to 4095 counts. Correct it, or gapMinimumCounts and gapMaximumCounts."
    )]
    [InlineData(
        "\"type\": \"INT\"",
        "\"type\": \"INTEGER\"",
        "machines[tea-1].signals.gap.type (template bagger; 1 more of it likewise) is \"INTEGER\". Allowed: BOOL, SINT, INT, DINT, LINT, USINT, UINT, UDINT, ULINT, REAL, LREAL, STRING. Try \"INT\"."
    )]
    [InlineData(
        "\"gapAtEmptyCounts\": 600",
        "\"gapAtEmptyCount\": 600",
        "machines[tea-1].dancer.gapAtEmptyCount (template bagger; 1 more of it likewise) is not a known key. Try \"gapAtEmptyCounts\"."
    )]
    [InlineData(
        "\"bagger\": {",
        "\"bagger\": { \"name\": \"x\",",
        "templates.bagger.name stands in a template. Allowed: in a machine only. Each machine has its own; a template is not made of another."
    )]
    [InlineData(
        "\"templates\": {",
        "\"templates\": { \"spare\": { \"line\": \"a b\", \"controler\": \"packing-a\" },",
        "templates.spare.line is \"a b\". Allowed: 1 to 64 characters without '/', '+', '#' or blanks, for it becomes a level of MQTT topics. Try letters, digits and hyphens, such as tea-1.",
        "templates.spare.controler is not a known key. Try \"controller\"."
    )]
    public void A_mistake_names_template_key_and_machine_in_one_line(
        string piece,
        string replacement,
        params string[] sentences
    )
    {
        Assert.Contains(piece, Text, StringComparison.Ordinal);

        SettingsResult result = SmallConfiguration.Parse(
            Text.Replace(piece, replacement, StringComparison.Ordinal)
        );

        Assert.Null(result.Settings);
        Assert.Equal(sentences, result.Errors.Select(error => error.ToString()));
    }

    [Fact]
    public void Words_without_a_template_and_templates_that_are_none_are_refused()
    {
        string text = SmallConfiguration.With("\"line\"", "\"with\": {}, \"line\"");
        text = text.Replace("\"machines\"", "\"templates\": [], \"machines\"", StringComparison.Ordinal);

        Assert.Equal(
            [
                "machines[tea-1].with stands without template. Add template, or remove it.",
                "templates is no object. Allowed: an object { ... } with a template under each name. See config/example.jsonc.",
            ],
            SmallConfiguration.Parse(text).Errors.Select(error => error.ToString()).Order()
        );
    }

    [Fact]
    public void All_mistakes_of_a_template_and_its_machines_come_at_once_each_on_its_line()
    {
        string text = Text.Replace("0.06", "\"x\"", StringComparison.Ordinal)
            .Replace("line-9", "line 9", StringComparison.Ordinal)
            .Replace("3380", "5000", StringComparison.Ordinal);

        Assert.Equal(
            [
                (11, "machines[tea-1].signals.unwindSpeed.scale"),
                (23, "machines[tea-02].line"),
                (25, "machines[tea-02].dancer.gapAtFullCounts"),
            ],
            SmallConfiguration.Parse(text).Errors.Select(error => (error.Line, error.Key))
        );
    }

    [Fact]
    public void Sixty_four_machines_that_are_alike_stand_on_one_page()
    {
        string path = RepositoryFiles.PathOf("config", "tea-works.jsonc");

        AgentSettings settings = SettingsFile.Load(path).Settings!;

        Assert.Equal(64, settings.Machines.Count);
        Assert.Equal(64, settings.Machines.Select(machine => machine.Signals[0].Tag.Name).Distinct().Count());
        Assert.Equal("Tea64.DancerGap", settings.Machines[63].Signals[0].Tag.Name);
        // Printed in 10 point, a page of A4 has about so many lines.
        Assert.InRange(File.ReadAllLines(path).Length, 1, 66);
    }

    private static IReadOnlyList<WatchedMachineSettings> Load(string text)
    {
        SettingsResult result = SmallConfiguration.Parse(text);
        Assert.Empty(result.Errors.Select(error => error.ToString()));
        return result.Settings!.Machines;
    }
}
