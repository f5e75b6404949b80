namespace Dancerwatch.EdgeAgent.Tests.Mqtt;

/// <summary>Waits for what other threads bring about.</summary>
internal static class Eventually
{
    private static readonly TimeSpan s_limit = TimeSpan.FromSeconds(20);

    /// <summary>Asks again and again until there is an answer.</summary>
    public static async Task<T> GetAsync<T>(Func<T?> ask, string what)
        where T : class
    {
        using CancellationTokenSource limit = new(s_limit);
        using PeriodicTimer timer = new(TimeSpan.FromMilliseconds(10));
        while (true)
        {
            if (ask() is { } answer)
                return answer;
            try
            {
                await timer.WaitForNextTickAsync(limit.Token);
            }
            catch (OperationCanceledException)
            {
                throw new TimeoutException($"Waited {s_limit.TotalSeconds} s in vain: {what}");
            }
        }
    }

    public static Task<object> IsTrueAsync(Func<bool> ask, string what) =>
        GetAsync(() => ask() ? s_yes : null, what);

    private static readonly object s_yes = new();
}
