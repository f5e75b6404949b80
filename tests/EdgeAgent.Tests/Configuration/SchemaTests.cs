using System.Text.Json;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Tests.Commands;
using Dancerwatch.Signals;
using Json.Schema;

namespace Dancerwatch.EdgeAgent.Tests.Configuration;

/// <summary>The schema, judged by an independent implementation of JSON Schema 2020-12 (JsonSchema.Net).</summary>
public sealed class SchemaTests
{
    private static readonly JsonSchema s_schema = JsonSchema.FromText(File.ReadAllText(SchemaPath));
    private static readonly JsonDocumentOptions s_withComments = new()
    {
        CommentHandling = JsonCommentHandling.Skip,
        AllowTrailingCommas = true,
    };

    private static string SchemaPath => RepositoryFiles.PathOf("config", "dancerwatch.schema.json");

    public static TheoryData<string> Configurations =>
        [
            .. Directory
                .EnumerateFiles(RepositoryFiles.PathOf("config"), "*.jsonc")
                .Select(file => Path.GetFileName(file)!),
        ];

    [Fact]
    public async Task The_committed_schema_is_the_one_the_program_prints()
    {
        ProgramRun run = await ProgramRun.Of("schema");

        // After a change of the configuration: dancerwatch schema > config/dancerwatch.schema.json
        Assert.Equal(
            await File.ReadAllTextAsync(SchemaPath, TestContext.Current.CancellationToken),
            run.Output
        );
    }

    [Fact]
    public void The_schema_is_itself_valid_by_the_schema_of_schemas() =>
        Assert.True(MetaSchemas.Draft202012.Evaluate(Parse(File.ReadAllText(SchemaPath))).IsValid);

    [Theory]
    [MemberData(nameof(Configurations))]
    public void Every_committed_configuration_fits_the_schema_and_loads(string name)
    {
        string path = RepositoryFiles.PathOf("config", name);

        Assert.True(IsValid(File.ReadAllText(path)));
        Assert.Empty(SettingsFile.Load(path).Errors);
    }

    [Theory]
    [MemberData(nameof(Configurations))]
    public void Every_machine_of_a_committed_configuration_can_be_watched(string name)
    {
        AgentSettings settings = SettingsFile.Load(RepositoryFiles.PathOf("config", name)).Settings!;

        Assert.All(
            settings.Machines,
            machine => Assert.Equal(0, new MachineAssessor(machine.Machine).IgnoredReadings)
        );
    }

    [Fact]
    public void The_example_shows_every_key_there_is_outside_warnings()
    {
        string example = File.ReadAllText(RepositoryFiles.PathOf("config", "example.jsonc"));
        using JsonDocument schema = JsonDocument.Parse(File.ReadAllText(SchemaPath));

        List<string> keys = [.. KeysOf(schema.RootElement).Distinct()];

        Assert.InRange(keys.Count, 60, 200);
        Assert.All(keys, key => Assert.Contains($"\"{key}\":", example, StringComparison.Ordinal));
    }

    [Fact]
    public void The_small_configuration_fits_the_schema() => Assert.True(IsValid(SmallConfiguration.Text));

    [Theory]
    [MemberData(nameof(BadSettings.SeenBySchema), MemberType = typeof(BadSettings))]
    public void What_the_loader_refuses_by_itself_an_editor_refuses_too(
        string piece,
        string replacement,
        string sentence
    )
    {
        Assert.NotEmpty(sentence);
        Assert.False(IsValid(SmallConfiguration.With(piece, replacement)));
    }

    private static bool IsValid(string text) => s_schema.Evaluate(Parse(text)).IsValid;

    private static JsonElement Parse(string text) => JsonElement.Parse(text, s_withComments);

    private static IEnumerable<string> KeysOf(JsonElement schema)
    {
        if (schema.TryGetProperty("items", out JsonElement items))
        {
            foreach (string key in KeysOf(items))
                yield return key;
        }
        if (!schema.TryGetProperty("properties", out JsonElement properties))
            yield break;
        foreach (JsonProperty property in properties.EnumerateObject())
        {
            yield return property.Name;
            if (property.Name == "warnings")
                continue; // ten conditions of the same keys: a few show how
            foreach (string key in KeysOf(property.Value))
                yield return key;
        }
    }
}
