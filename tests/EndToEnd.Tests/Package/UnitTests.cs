using System.Globalization;

namespace Dancerwatch.EndToEnd.Tests.Package;

/// <summary>The systemd unit, judged by systemd's own table of what a service is exposed to.</summary>
public sealed class UnitTests
{
    [Theory]
    [InlineData(1.5, 0)]
    [InlineData(0.5, 1)] // so that the threshold is known to be kept
    public async Task Its_exposure_is_at_most_1_5(double threshold, int code)
    {
        await using ToolProcess judge = new(
            ToolProcess.Require("systemd-analyze"),
            "security",
            "--offline=yes",
            $"--threshold={(10 * threshold).ToString(CultureInfo.InvariantCulture)}",
            RepositoryFiles.PathOf("systemd", "dancerwatch.service")
        );
        IReadOnlyList<string> said = await judge.LinesToEndAsync(TestContext.Current.CancellationToken);

        Assert.True(judge.ExitCode == code, string.Join('\n', said));
    }
}
