using Polly;
using Polly.Retry;

namespace Dancerwatch.EdgeAgent.Reconnect;

/// <summary>A series of attempts to connect, under way or ended.</summary>
/// <param name="FirstAttempt">Ends with the first attempt, well or not; never faults.</param>
/// <param name="Connected">Ends with the attempt that succeeds.</param>
internal sealed record ConnectSeries<T>(Task FirstAttempt, Task<T> Connected);

/// <summary>
/// Tries to connect until it does: once at once, then as <see cref="ReconnectBackoff"/> says. The one place that uses
/// the retry library.
/// </summary>
/// <param name="connect">One attempt; bounds its own time.</param>
/// <param name="failed">Told of each failed attempt: what it threw, and the pause to the next.</param>
internal sealed class Reconnector<T>(
    Func<CancellationToken, ValueTask<T>> connect,
    Action<Exception, TimeSpan> failed,
    ReconnectBackoff backoff,
    TimeProvider time
)
{
    /// <summary>Starts a series. The caller keeps to one at a time.</summary>
    public ConnectSeries<T> Start(CancellationToken cancellation)
    {
        TaskCompletionSource firstAttempt = new(TaskCreationOptions.RunContinuationsAsynchronously);
        long begun = 0;
        ResiliencePipeline pipeline = new ResiliencePipelineBuilder { TimeProvider = time }
            .AddRetry(
                new RetryStrategyOptions
                {
                    MaxRetryAttempts = int.MaxValue,
                    ShouldHandle = static attempt =>
                        ValueTask.FromResult(
                            attempt.Outcome.Exception is not (null or OperationCanceledException)
                        ),
                    DelayGenerator = attempt =>
                        ValueTask.FromResult<TimeSpan?>(
                            backoff.Pause(attempt.AttemptNumber, time.GetElapsedTime(begun), Jitter())
                        ),
                    OnRetry = attempt =>
                    {
                        failed(attempt.Outcome.Exception!, attempt.RetryDelay);
                        firstAttempt.TrySetResult();
                        return default;
                    },
                }
            )
            .Build();
        Task<T> connected = pipeline
            .ExecuteAsync(
                token =>
                {
                    begun = time.GetTimestamp();
                    return connect(token);
                },
                cancellation
            )
            .AsTask();
        return new ConnectSeries<T>(Task.WhenAny(firstAttempt.Task, connected), connected);
    }

#pragma warning disable CA5394 // Spreads load; guards nothing.
    private static double Jitter() => Random.Shared.NextDouble();
#pragma warning restore CA5394
}
