namespace Dancerwatch.EndToEnd.Tests.Outbox;

/// <summary>The daemon as a process of its own, as a service manager starts it, in a directory of its own.</summary>
internal sealed class AgentProcess : IAsyncDisposable
{
    private readonly ToolProcess _process;

    private AgentProcess(ToolProcess process) => _process = process;

    public bool Runs => _process.ExitCode is null;

    /// <summary>What it has logged.</summary>
    public IReadOnlyCollection<string> Log => _process.Lines;

    /// <param name="configuration">Path of the configuration.</param>
    /// <param name="environment">Further environment variables, each <c>NAME=value</c>.</param>
    public static AgentProcess Start(string configuration, params string[] environment) =>
        new(
            new ToolProcess(
                "env",
                [
                    .. environment,
                    "dotnet",
                    Path.Combine(AppContext.BaseDirectory, "dancerwatch.dll"),
                    "run",
                    "--config",
                    configuration,
                ]
            )
        );

    /// <summary>Waits until it has logged something.</summary>
    public Task<string> LogsAsync(string text) =>
        _process.LineAsync(line => line.Contains(text, StringComparison.Ordinal));

    /// <summary>Sends it a signal by its name, such as <c>HUP</c>.</summary>
    public Task SendAsync(string signal) => _process.SendAsync(signal);

    /// <summary>Asks it to end, and waits for it.</summary>
    /// <returns>Its exit code.</returns>
    public async Task<int> StopAsync()
    {
        await _process.EndAsync(TestContext.Current.CancellationToken);
        int code = _process.ExitCode!.Value;
        if (code != 0)
            TestContext.Current.TestOutputHelper?.WriteLine(string.Join('\n', Log));
        return code;
    }

    /// <summary>
    /// Has what is left on disk sent, by runs that are ended in good order, until nothing is left: also a quiet hall raises
    /// one or the other event where a daemon starts on a busy computer.
    /// </summary>
    /// <param name="reach">Waits until a subscriber has this number.</param>
    /// <returns>The last number there is.</returns>
    public static async Task<long> DrainAsync(
        string configuration,
        StateDirectory state,
        Func<long, Task> reach
    )
    {
        while (state.Kept() is { Count: > 0 } kept)
        {
            await using AgentProcess agent = Start(configuration);
            await agent.LogsAsync("Watching;");
            await reach(kept.Keys.Max());
            Assert.Equal(0, await agent.StopAsync());
        }
        long last = state.Done();
        await reach(last);
        return last;
    }

    /// <summary>Its exit code, once it has ended by itself.</summary>
    public async Task<int> EndedAsync()
    {
        await _process.LinesToEndAsync(TestContext.Current.CancellationToken);
        return _process.ExitCode!.Value;
    }

    /// <summary>kill -9.</summary>
    public ValueTask DisposeAsync() => _process.DisposeAsync();
}
