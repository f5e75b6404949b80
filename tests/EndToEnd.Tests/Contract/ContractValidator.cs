using System.Text.Json;

namespace Dancerwatch.EndToEnd.Tests.Contract;

/// <summary>What validators that are not ours say of docs/asyncapi.yaml and of messages (npm, pinned in Validator).</summary>
/// <param name="Document">What is wrong with the document.</param>
/// <param name="Fitting">Messages that fit, by channel.</param>
/// <param name="Refused">Why a message does not fit, by its place among them, from 0.</param>
internal sealed record ContractVerdict(
    IReadOnlyList<string> Document,
    IReadOnlyDictionary<string, int> Fitting,
    IReadOnlyDictionary<int, string> Refused
);

/// <inheritdoc cref="ContractVerdict"/>
internal static class ContractValidator
{
    /// <summary>Skips the test where the validators are not installed.</summary>
    public static async Task<ContractVerdict> JudgeAsync(IEnumerable<PublishedMessage> messages)
    {
        CancellationToken cancellation = TestContext.Current.CancellationToken;
        string folder = RepositoryFiles.PathOf("tests", "EndToEnd.Tests", "Contract", "Validator");
        Assert.SkipUnless(
            Directory.Exists(Path.Combine(folder, "node_modules")),
            "npm ci was not run in Contract/Validator"
        );
        string node = ToolProcess.Require("node");
        string file = Path.GetTempFileName();
        try
        {
            await File.WriteAllLinesAsync(file, messages.Select(message => message.ToLine()), cancellation);
            await using ToolProcess validator = new(
                node,
                Path.Combine(folder, "validate.js"),
                RepositoryFiles.PathOf("docs", "asyncapi.yaml"),
                file
            );
            IReadOnlyList<string> said = await validator.LinesToEndAsync(cancellation);
            Assert.True(validator.ExitCode == 0, string.Join('\n', said));
            using JsonDocument verdict = JsonDocument.Parse(said[^1]);
            return Read(verdict.RootElement);
        }
        finally
        {
            File.Delete(file);
        }
    }

    private static ContractVerdict Read(JsonElement said) =>
        new(
            [.. said.GetProperty("document").EnumerateArray().Select(finding => finding.GetString()!)],
            said.GetProperty("fitting")
                .EnumerateObject()
                .ToDictionary(channel => channel.Name, channel => channel.Value.GetInt32()),
            said.GetProperty("refused")
                .EnumerateArray()
                .ToDictionary(
                    refused => refused.GetProperty("line").GetInt32() - 1,
                    refused => refused.GetProperty("why").GetString()!
                )
        );
}
