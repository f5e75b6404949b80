using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Polling;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Survey;

/// <summary>One machine's readings as they come, at its controller's pace. Reads only.</summary>
internal sealed class LiveReadings : IAsyncDisposable
{
    // So long without a gap is no hiccup of the network any more.
    private static readonly TimeSpan s_patience = TimeSpan.FromSeconds(3);

    private readonly WatchedMachineSettings _machine;
    private readonly ITagReader _reader;
    private readonly MonotonicClock _clock;
    private readonly DeadlineTimer _timer;
    private readonly ReadingSource _source;
    private readonly TagSnapshot _snapshot;
    private readonly long _period;

    /// <param name="reader">Reads the machine's tags; not disposed of.</param>
    public LiveReadings(
        WatchedMachineSettings machine,
        ITagReader reader,
        int pollMilliseconds,
        MonotonicClock clock
    )
    {
        _machine = machine;
        _reader = reader;
        _clock = clock;
        _timer = new DeadlineTimer(clock);
        _source = new ReadingSource(machine, reader.Tags);
        _snapshot = new TagSnapshot(reader.Tags.Count);
        _period = pollMilliseconds * TimeSpan.TicksPerMillisecond;
    }

    /// <summary>Feeds readings until enough were taken, the time is over, or none has had a gap for 3 s.</summary>
    /// <param name="take">True: enough.</param>
    /// <returns>One sentence on why there are no readings; null where there are.</returns>
    public async ValueTask<string?> FeedAsync(
        Func<Reading, bool> take,
        TimeSpan limit,
        CancellationToken cancellation
    )
    {
        PollSchedule schedule = new(_clock.Ticks, _period);
        long end = _clock.Ticks + limit.Ticks;
        long lastGood = _clock.Ticks;
        while (_clock.Ticks < end)
        {
            await _timer.WaitUntilAsync(schedule.Due, cancellation);
            schedule.Advance(_clock.Ticks);
            await _reader.ReadAsync(_snapshot, cancellation);
            Reading reading = _source.Read(_snapshot);
            if (reading.Quality != Quality.Bad)
                lastGood = _clock.Ticks;
            else if (_clock.Ticks - lastGood > s_patience.Ticks)
                return Trouble();
            if (take(reading))
                break;
        }
        return null;
    }

    public ValueTask DisposeAsync()
    {
        _timer.Dispose();
        return _reader.DisposeAsync();
    }

    private string Trouble()
    {
        if (_reader.Trouble is { } trouble)
            return char.ToUpperInvariant(trouble[0]) + trouble[1..];
        foreach (SignalSource source in _machine.Signals)
        {
            if (source.Signal is not (Signal.Gap or Signal.UnwindSpeed))
                continue;
            int place = Enumerable.Range(0, _reader.Tags.Count).First(i => _reader.Tags[i] == source.Tag);
            if (_reader.TagTrouble(place) is { } told)
                return $"{source.Signal.Code()}: {told.TrimEnd('.')}.";
            if (!double.IsFinite(_snapshot.Numbers[place]))
                return $"{source.Signal.Code()}: tag '{source.Tag.Name}' holds no number.";
        }
        return "No reading holds a gap.";
    }
}
