using System.Text;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Tests.Configuration;

public sealed class SettingsFileTests
{
    [Fact]
    public void A_configuration_with_five_mistakes_names_all_five_each_on_its_line()
    {
        string text = SmallConfiguration
            .Text.Replace("\"area\"", "\"aera\"", StringComparison.Ordinal)
            .Replace("\"port\": 1883", "\"port\": 188300", StringComparison.Ordinal)
            .Replace("\"pollMilliseconds\": 20", "\"pollMilliseconds\": \"20\"", StringComparison.Ordinal)
            .Replace("\"INT\"", "\"WORD\"", StringComparison.Ordinal)
            .Replace("3500", "600", StringComparison.Ordinal);

        SettingsResult result = SmallConfiguration.Parse(text);

        Assert.Null(result.Settings);
        Assert.Equal(
            [
                (3, "aera"),
                (4, "mqtt.port"),
                (6, "controllers[packing-a].pollMilliseconds"),
                (13, "machines[tea-1].signals.gap.type"),
                (16, "machines[tea-1].dancer.gapAtFullCounts"),
            ],
            result.Errors.Select(error => (error.Line, error.Key))
        );
    }

    [Theory]
    [MemberData(nameof(BadSettings.SeenBySchema), MemberType = typeof(BadSettings))]
    [MemberData(nameof(BadSettings.BetweenValues), MemberType = typeof(BadSettings))]
    public void A_mistake_is_told_in_one_sentence_with_key_value_range_and_suggestion(
        string piece,
        string replacement,
        string sentence
    )
    {
        SettingsResult result = SmallConfiguration.Parse(SmallConfiguration.With(piece, replacement));

        Assert.Null(result.Settings);
        Assert.Equal(sentence, Assert.Single(result.Errors).ToString());
    }

    [Fact]
    public void Half_a_character_is_told_with_its_line_and_does_not_throw()
    {
        string[] texts =
        [
            SmallConfiguration.With("\"tea-hall\"", "\"tea\\ud800\""),
            SmallConfiguration.With("\"area\"", "\"area\\udc00\""),
        ];
        Assert.All(
            texts.Select(text => SmallConfiguration.Parse(text).Errors),
            errors =>
                Assert.Contains(
                    errors,
                    error => error.Line == 3 && error.Value.StartsWith("is no text", StringComparison.Ordinal)
                )
        );
    }

    [Fact]
    public void An_error_is_one_line_of_bounded_length_whatever_the_file()
    {
        string endless = string.Concat(Enumerable.Repeat("line after line,\n", 1_000));
        string text = SmallConfiguration.Text.Replace(
            "\"area\":",
            $"\"area\":'{endless}",
            StringComparison.Ordinal
        );
        SettingError error = Assert.Single(SmallConfiguration.Parse(text).Errors);
        Assert.DoesNotContain('\n', error.ToString());
        Assert.InRange(error.ToString().Length, 20, 600);
    }

    [Fact]
    public void A_password_in_the_file_is_never_repeated()
    {
        string text = SmallConfiguration.With("\"port\": 1883", "\"password\": \"black-tea\"");

        SettingError error = Assert.Single(SmallConfiguration.Parse(text).Errors);

        Assert.DoesNotContain("black-tea", error.ToString("hall.jsonc"), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("", 1)]
    [InlineData("{ \"site\": \"leafside\"\n\"area\": 1 }", 2)]
    [InlineData("{ \"site\": \"leafside\n", 1)]
    [InlineData("{}\n{}", 2)]
    [InlineData("{ /* open", 1)]
    public void A_text_that_is_no_JSON_is_told_with_its_line(string text, int line)
    {
        SettingError error = Assert.Single(SmallConfiguration.Parse(text).Errors);

        Assert.Equal(line, error.Line);
        Assert.StartsWith($"Line {line}, column ", error.Key, StringComparison.Ordinal);
        Assert.StartsWith("is not JSON: ", error.Value, StringComparison.Ordinal);
    }

    [Fact]
    public void Bytes_that_are_no_text_nesting_without_end_and_a_list_for_an_object_are_refused()
    {
        Assert.Equal(
            "The file is not UTF-8 text. Save it with the encoding UTF-8.",
            Assert.Single(SettingsFile.Parse([0xFF, 0xFE, 0x7B], "/").Errors).ToString()
        );
        Assert.StartsWith(
            "Line 1, column 33 is not JSON: ",
            Assert.Single(SmallConfiguration.Parse(new string('[', 100_000)).Errors).ToString(),
            StringComparison.Ordinal
        );
        Assert.Equal(
            "The file is [1, 2]. Allowed: an object { ... }. See config/example.jsonc.",
            Assert.Single(SmallConfiguration.Parse("[1, 2]").Errors).ToString()
        );
    }

    [Fact]
    public void A_file_that_is_not_there_is_one_error()
    {
        SettingsResult result = SettingsFile.Load(RepositoryFiles.PathOf("config", "no-such-hall.jsonc"));

        Assert.Null(result.Settings);
        Assert.StartsWith(
            "The file does not exist.",
            Assert.Single(result.Errors).ToString(),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void A_byte_order_mark_comments_and_trailing_commas_are_all_right()
    {
        byte[] text =
        [
            .. Encoding.UTF8.Preamble,
            .. Encoding.UTF8.GetBytes("// tea\n" + SmallConfiguration.Text),
        ];

        Assert.NotNull(SettingsFile.Parse(text, "/").Settings);
    }

    [Fact]
    public void What_is_left_out_keeps_the_value_the_settings_record_has()
    {
        AgentSettings settings = SmallConfiguration.Parse(SmallConfiguration.Text).Settings!;

        ControllerSettings controller = Assert.Single(settings.Controllers);
        Assert.Equal(new ControllerSettings { Name = "packing-a", Host = "192.0.2.10" }, controller);
        WatchedMachineSettings machine = Assert.Single(settings.Machines);
        Assert.Equal(new WarningSettings { Sensitivity = 0.5 }, machine.Machine.Warnings);
        Assert.Equal(0.02, machine.Machine.PollSeconds);
        Assert.Equal(
            new SignalSource(Signal.UnwindSpeed, new TagRequest("Tea1.UnwindSpeed", TagType.Real), 0.06),
            machine.Signals[1]
        );
    }

    [Theory]
    [InlineData("running", "BOOL")]
    [InlineData("lineSpeed", "REAL")]
    public void Where_runs_and_speeds_are_read_warnings_are_sooner(string signal, string type)
    {
        string text = SmallConfiguration.With(
            "\"gap\": {",
            $"\"{signal}\": {{ \"tag\": \"Tea1.Runs\", \"type\": \"{type}\" }}, \"gap\": {{"
        );

        Assert.Equal(1, SmallConfiguration.Parse(text).Settings!.Machines[0].Machine.Warnings.Sensitivity);
        text = text.Replace(
            "\"margin-low\"",
            "\"sensitivity\": 0.7, \"margin-low\"",
            StringComparison.Ordinal
        );
        Assert.Equal(0.7, SmallConfiguration.Parse(text).Settings!.Machines[0].Machine.Warnings.Sensitivity);
    }

    [Fact]
    public void File_names_are_relative_to_the_configuration()
    {
        string text = SmallConfiguration.With(
            "\"tls\": {}",
            "\"tls\": { \"caFile\": \"ca.pem\" }, \"userName\": \"tea\", \"passwordFile\": \"/run/secret\""
        );
        text = text.Replace("\"mqtt\"", "\"stateDirectory\": \"state\", \"mqtt\"", StringComparison.Ordinal);

        AgentSettings settings = SmallConfiguration.Parse(text).Settings!;

        Assert.Equal("/etc/tea/ca.pem", settings.Mqtt!.Tls!.CaFile);
        Assert.Equal("/run/secret", settings.Mqtt.PasswordFile);
        Assert.Equal("/etc/tea/state", settings.StateDirectory);
    }
}
