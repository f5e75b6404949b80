using System.Collections.Concurrent;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Tests;

/// <summary>Keeps what is logged, for tests that ask what a person would read.</summary>
internal sealed class RecordingLogger<T> : ILogger<T>
{
    public ConcurrentQueue<(LogLevel Level, int Id, string Text)> Entries { get; } = [];

    /// <summary>Text of the first entry with this event id; waits for it.</summary>
    public Task<string> NextAsync(int id) =>
        Eventually.GetAsync(
            () => Entries.FirstOrDefault(entry => entry.Id == id).Text,
            $"log entry {id}; there are {string.Join(" | ", Entries)}",
            seconds: 20
        );

    public IDisposable? BeginScope<TState>(TState state)
        where TState : notnull => null;

    public bool IsEnabled(LogLevel logLevel) => true;

    public void Log<TState>(
        LogLevel logLevel,
        EventId eventId,
        TState state,
        Exception? exception,
        Func<TState, Exception?, string> formatter
    ) => Entries.Enqueue((logLevel, eventId.Id, formatter(state, exception)));
}
