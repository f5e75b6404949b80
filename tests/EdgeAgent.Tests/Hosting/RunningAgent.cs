using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Hosting;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Tests.Hosting;

/// <summary>An agent that runs, in real time.</summary>
internal sealed class RunningAgent : IAsyncDisposable
{
    private static readonly TimeSpan s_limit = TimeSpan.FromSeconds(20);
    private readonly CancellationTokenSource _stop = new();

    public RunningAgent(AgentSettings settings, ILoggerFactory log)
    {
        Agent = new Agent(settings, TimeProvider.System, log);
        Running = Agent.RunAsync(_stop.Token);
    }

    public Agent Agent { get; }

    public Task Running { get; }

    public Task ComesRoundAsync() => Eventually.IsTrueAsync(() => Agent.HasComeRound, seconds: 20);

    public async Task StopAsync()
    {
        await _stop.CancelAsync();
        await Running.WaitAsync(s_limit);
    }

    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync();
        await Running.WaitAsync(s_limit).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        await Agent.DisposeAsync();
        _stop.Dispose();
    }
}
