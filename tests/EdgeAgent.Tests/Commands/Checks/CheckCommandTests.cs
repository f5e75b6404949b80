using System.Globalization;
using System.Net;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.VirtualMachine.Hall;

namespace Dancerwatch.EdgeAgent.Tests.Commands.Checks;

/// <summary>The committed demo configuration against the virtual hall it is written for, over real sockets.</summary>
public sealed class CheckCommandTests : IAsyncLifetime
{
    private readonly PackingHall _hall = new(TeaHall.Machines, TimeProvider.System);
    private readonly string _config = Path.GetTempFileName();

    public ValueTask InitializeAsync()
    {
        _hall.Controller.Start(new IPEndPoint(IPAddress.Loopback, 0));
        return ValueTask.CompletedTask;
    }

    public async ValueTask DisposeAsync()
    {
        await _hall.Controller.DisposeAsync();
        File.Delete(_config);
    }

    [Fact]
    public async Task The_tea_hall_fits_its_configuration_and_nothing_is_written_to_it()
    {
        ProgramRun run = await CheckAsync(text => text);

        Assert.Equal("", run.Error);
        foreach (string machine in new[] { "tea-1", "tea-2", "tea-3", "tea-4" })
            Assert.Contains($"\n  {machine}\n    gap  ", run.Output, StringComparison.Ordinal);
        Assert.DoesNotContain("not read", run.Output, StringComparison.Ordinal);
        Assert.EndsWith("Nothing looks wrong.\n", run.Output, StringComparison.Ordinal);
        Assert.Equal(ExitCodes.Ok, run.Code);
        Assert.Equal(1, _hall.Controller.Counters.ClientsEver);
        Assert.Equal(0, _hall.Controller.Counters.RefusedWrites + _hall.Controller.Counters.Malformed);
    }

    [Fact]
    public async Task A_wrong_type_and_a_missing_tag_are_two_findings_and_the_rest_is_read()
    {
        ProgramRun run = await CheckAsync(text =>
            text.Replace(
                    "Tea1.DancerGap\", \"type\": \"INT",
                    "Tea1.DancerGap\", \"type\": \"DINT",
                    StringComparison.Ordinal
                )
                .Replace("Tea2.Running", "Tea2.Runing", StringComparison.Ordinal)
        );

        Assert.Equal(ExitCodes.Findings, run.Code);
        Assert.Contains(
            "LOOK  gap: tag 'Tea1.DancerGap' is INT in the controller, the configuration says DINT.",
            run.Output,
            StringComparison.Ordinal
        );
        Assert.Contains(
            "LOOK  running: tag 'Tea2.Runing' was not found",
            run.Output,
            StringComparison.Ordinal
        );
        Assert.EndsWith("\n2 to look at.\n", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_controller_that_is_not_there_has_an_exit_code_of_its_own()
    {
        await _hall.Controller.StopAsync();

        ProgramRun run = await CheckAsync(text => text);

        Assert.Equal(ExitCodes.Unreachable, run.Code);
        Assert.Contains("refused the connection", run.Output, StringComparison.Ordinal);
        Assert.EndsWith("\n1 to look at.\n", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Offline_no_controller_is_asked()
    {
        ProgramRun run = await CheckAsync(text => text, "--offline");

        Assert.Equal(ExitCodes.Ok, run.Code);
        Assert.Equal(
            "The configuration can be used (controllers: 1, machines: 4). No controller was read.\n",
            run.Output
        );
    }

    /// <summary>One read of each tag, with time enough on a busy computer.</summary>
    private async Task<ProgramRun> CheckAsync(Func<string, string> change, params string[] more)
    {
        string text = await File.ReadAllTextAsync(
            RepositoryFiles.PathOf("config", "tea-hall.jsonc"),
            TestContext.Current.CancellationToken
        );
        string port = _hall.Controller.EndPoint.Port.ToString(CultureInfo.InvariantCulture);
        text = change(text)
            .Replace(
                "44818, \"pollMilliseconds\": 20",
                $"{port}, \"pollMilliseconds\": 1000, \"timeoutMilliseconds\": 10000",
                StringComparison.Ordinal
            );
        await File.WriteAllTextAsync(_config, text, TestContext.Current.CancellationToken);
        return await ProgramRun.Of(["check", "--config", _config, "--seconds", "0", .. more]);
    }
}
