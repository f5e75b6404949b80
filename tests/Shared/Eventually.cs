using System.Runtime.CompilerServices;

namespace Dancerwatch.Tests;

/// <summary>Waits for what other threads bring about.</summary>
internal static class Eventually
{
    private static readonly TimeSpan s_pause = TimeSpan.FromMilliseconds(1);

    /// <summary>Asks again and again until there is an answer.</summary>
    /// <param name="what">What is waited for, for the failure.</param>
    /// <param name="seconds">Longest wait, s.</param>
    public static async Task<T> GetAsync<T>(
        Func<T?> ask,
        [CallerArgumentExpression(nameof(ask))] string what = "",
        int seconds = 30
    )
        where T : class
    {
        using CancellationTokenSource limit = new(TimeSpan.FromSeconds(seconds));
        using PeriodicTimer timer = new(s_pause);
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
                throw new TimeoutException($"Waited {seconds} s in vain: {what}");
            }
        }
    }

    /// <inheritdoc cref="GetAsync"/>
    public static Task IsTrueAsync(
        Func<bool> ask,
        [CallerArgumentExpression(nameof(ask))] string what = "",
        int seconds = 30
    ) => GetAsync(() => ask() ? s_yes : null, what, seconds);

    private static readonly object s_yes = new();
}
