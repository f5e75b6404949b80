using System.Collections.Concurrent;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Tests.Hosting;

/// <summary>Keeps what is logged, and can hang whoever logs one kind of event: a log that blocks is a loop that hangs.</summary>
internal sealed class GatedLog : ILoggerFactory
{
    private readonly ManualResetEventSlim _open = new(initialState: true);
    private volatile int _gated;

    public ConcurrentQueue<(LogLevel Level, int Id, string Text)> Entries { get; } = [];

    /// <summary>Whoever logs this event hangs until <see cref="Release"/>.</summary>
    public void Hang(int id)
    {
        _open.Reset();
        _gated = id;
    }

    public void Release()
    {
        _gated = 0;
        _open.Set();
    }

    public Task<string> LoggedAsync(int id) =>
        Eventually.GetAsync(
            () => Entries.FirstOrDefault(entry => entry.Id == id).Text,
            $"log entry {id}; there are {string.Join(" | ", Entries)}",
            seconds: 20
        );

    public ILogger CreateLogger(string categoryName) => new Logger(this);

    public void AddProvider(ILoggerProvider provider) => throw new NotSupportedException();

    public void Dispose() => _open.Dispose();

    private sealed class Logger(GatedLog log) : ILogger
    {
        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => true;

        public void Log<TState>(
            LogLevel logLevel,
            EventId eventId,
            TState state,
            Exception? exception,
            Func<TState, Exception?, string> formatter
        )
        {
            log.Entries.Enqueue((logLevel, eventId.Id, formatter(state, exception)));
            if (eventId.Id == log._gated)
                log._open.Wait();
        }
    }
}
