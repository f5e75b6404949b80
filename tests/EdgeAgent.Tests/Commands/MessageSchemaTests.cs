using System.Text.Json;
using Json.Schema;

namespace Dancerwatch.EdgeAgent.Tests.Commands;

/// <summary>The schemas of the messages, judged by an independent implementation of JSON Schema 2020-12 (JsonSchema.Net).</summary>
public sealed class MessageSchemaTests : IDisposable
{
    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;
    private readonly DirectoryInfo _written = Directory.CreateTempSubdirectory("dancerwatch-schemas-");

    [Fact]
    public async Task The_committed_schemas_are_those_the_program_writes()
    {
        ProgramRun run = await ProgramRun.Of("schema", "--messages", _written.FullName);

        // After a change of a message: dancerwatch schema --messages docs/schemas
        Assert.Equal("", run.Output);
        string[] names = [.. _written.EnumerateFiles().Select(file => file.Name).Order()];
        Assert.Equal(11, names.Length);
        Assert.Equal(
            names,
            Directory.EnumerateFiles(Committed).Select(Path.GetFileName).Order(StringComparer.Ordinal)
        );
        foreach (string name in names)
        {
            Assert.Equal(
                await File.ReadAllTextAsync(Path.Combine(Committed, name), s_end),
                await File.ReadAllTextAsync(Path.Combine(_written.FullName, name), s_end)
            );
        }
    }

    [Fact]
    public void Each_schema_is_valid_by_the_schema_of_schemas() =>
        Assert.All(
            Directory.EnumerateFiles(Committed),
            file =>
                Assert.True(
                    MetaSchemas.Draft202012.Evaluate(JsonElement.Parse(File.ReadAllText(file))).IsValid
                )
        );

    [Fact]
    public void Each_field_is_explained_to_people_where_its_message_is()
    {
        string topics = File.ReadAllText(RepositoryFiles.PathOf("docs", "topics.md"));
        int fields = 0;
        foreach (string file in Directory.EnumerateFiles(Committed))
        {
            foreach (string field in FieldsOf(JsonElement.Parse(File.ReadAllText(file))))
            {
                Assert.True(
                    topics.Contains($"`{field}`", StringComparison.Ordinal)
                        || topics.Contains($"\"{field}\":", StringComparison.Ordinal),
                    $"{field} of {Path.GetFileName(file)} is not in docs/topics.md"
                );
                fields++;
            }
        }
        Assert.InRange(fields, 150, 400);
    }

    public void Dispose() => _written.Delete(recursive: true);

    private static string Committed => RepositoryFiles.PathOf("docs", "schemas");

    private static IEnumerable<string> FieldsOf(JsonElement schema)
    {
        foreach (JsonProperty field in schema.GetProperty("properties").EnumerateObject())
        {
            yield return field.Name;
            if (!field.Value.TryGetProperty("properties", out _))
                continue;
            foreach (string inner in FieldsOf(field.Value))
                yield return inner;
        }
    }
}
