using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Polling;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Polling;

public sealed class ControllerPollerTests : IAsyncDisposable
{
    private static readonly TimeSpan s_period = TimeSpan.FromMilliseconds(20);
    private static readonly TimeSpan s_patience = TimeSpan.FromSeconds(10);

    private readonly FakeTimeProvider _time = new();
    private readonly MonotonicClock _clock;
    private readonly ScriptedReader _reader;
    private readonly RecordingObserver _observer = new();
    private readonly RecordingLogger<ControllerPoller> _log = new();
    private readonly RecordingSink _sink = new();

    public ControllerPollerTests()
    {
        _clock = new MonotonicClock(_time);
        _reader = new ScriptedReader(_clock);
    }

    public ValueTask DisposeAsync() => _reader.DisposeAsync();

    [Fact]
    public async Task Polls_begin_at_multiples_of_the_period_whatever_each_takes()
    {
        await RunAsync(async () =>
        {
            await PolledAsync(1);
            for (int poll = 2; poll <= 50; poll++)
            {
                _time.Advance(s_period);
                await PolledAsync(poll);
            }
        });

        Assert.Equal(
            Enumerable.Range(0, 50).Select(i => i * s_period.Ticks),
            _sink.Received.Select(s => s.Ticks)
        );
        Assert.All(_observer.Lateness, lateness => Assert.Equal(TimeSpan.Zero, lateness));
        Assert.All(_observer.Outcomes, outcome => Assert.Equal(PollOutcome.Complete, outcome));
        Assert.Equal(0, _observer.Missed);
    }

    [Fact]
    public async Task Another_reader_takes_over_between_two_polls_and_no_deadline_is_missed()
    {
        await using ScriptedReader another = new(_clock);
        RecordingSink sink = new();
        await RunAsync(async poller =>
        {
            await PolledAsync(1);
            Task left = poller.ReadWith(another, [sink]);
            Assert.False(left.IsCompleted);
            for (int poll = 1; poll <= 3; poll++)
            {
                _time.Advance(s_period);
                await Eventually.IsTrueAsync(() => sink.Received.Count == poll);
            }
            await left.WaitAsync(s_patience);
        });

        Assert.Equal([0], _sink.Received.Select(s => s.Ticks));
        Assert.Equal(
            Enumerable.Range(1, 3).Select(i => i * s_period.Ticks),
            sink.Received.Select(s => s.Ticks)
        );
        Assert.Equal((1, 3), (_reader.Reads, another.Reads));
        Assert.Equal(0, _observer.Missed);
    }

    [Fact]
    public async Task A_late_start_is_counted_and_does_not_shift_the_deadlines_after_it()
    {
        await RunAsync(async () =>
        {
            await PolledAsync(1);
            _time.Advance(TimeSpan.FromMilliseconds(25));
            await PolledAsync(2);
            _time.Advance(TimeSpan.FromMilliseconds(15));
            await PolledAsync(3);
        });

        Assert.Equal([0, 25, 40], _sink.Received.Select(s => s.Ticks / TimeSpan.TicksPerMillisecond));
        Assert.Equal([0, 5, 0], _observer.Lateness.Select(lateness => lateness.TotalMilliseconds));
        Assert.Equal(0, _observer.Missed);
    }

    [Fact]
    public async Task A_poll_that_overruns_makes_the_deadlines_it_covers_missed_and_they_are_not_caught_up()
    {
        await RunAsync(async () =>
        {
            await PolledAsync(1);
            _reader.Hold();
            _time.Advance(s_period);
            await Eventually.IsTrueAsync(() => _reader.Reads == 2);
            _time.Advance(TimeSpan.FromMilliseconds(50)); // 40 and 60 pass
            _reader.Release();
            Assert.Equal(2, _sink.Received.Count);
            _time.Advance(TimeSpan.FromMilliseconds(10)); // to 80
            await PolledAsync(3);
        });

        Assert.Equal(2, _observer.Missed);
        Assert.Equal(50, _observer.Durations[1].TotalMilliseconds);
        Assert.Equal([0, 0, 0], _observer.Lateness.Select(lateness => lateness.TotalMilliseconds));
        Assert.Equal([1100], _log.Entries.Select(entry => entry.Id));
        Assert.Contains(
            "2 polls of packing were missed",
            _log.Entries.Single().Text,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task Failed_polls_reach_the_sinks_and_are_told_from_partial_ones()
    {
        await RunAsync(async () =>
        {
            await PolledAsync(1);
            _reader.Next = [TagStatus.Good, TagStatus.NoSuchTag];
            _time.Advance(s_period);
            await PolledAsync(2);
            _reader.Next = [TagStatus.TimedOut, TagStatus.TimedOut];
            _time.Advance(s_period);
            await PolledAsync(3);
        });

        Assert.Equal([PollOutcome.Complete, PollOutcome.Partial, PollOutcome.Failed], _observer.Outcomes);
        Assert.Equal([1, 2], _observer.Errors);
        Assert.Equal(TagStatus.TimedOut, _sink.Received[2].First);
    }

    [Fact]
    public async Task A_sink_that_throws_takes_neither_the_others_nor_the_next_poll_with_it()
    {
        ThrowingSink thrower = new();

        await RunAsync(
            async () =>
            {
                await PolledAsync(1);
                _time.Advance(s_period);
                await PolledAsync(2);
                thrower.Throws = false;
                _time.Advance(s_period);
                await PolledAsync(3);
                thrower.Throws = true;
                _time.Advance(s_period);
                await PolledAsync(4);
            },
            thrower,
            _sink
        );

        Assert.Equal(4, thrower.Calls);
        Assert.Equal(3, _observer.SinkFailures);
        // Told when it begins to fail: twice.
        Assert.Equal(
            [(LogLevel.Error, 1101), (LogLevel.Error, 1101)],
            _log.Entries.Select(e => (e.Level, e.Id))
        );
    }

    [Fact]
    public async Task A_driver_that_throws_makes_a_failed_poll_with_its_time_and_polling_goes_on()
    {
        await RunAsync(async () =>
        {
            await PolledAsync(1);
            _reader.Throws = true;
            _time.Advance(s_period);
            await PolledAsync(2);
            _time.Advance(s_period);
            await PolledAsync(3);
            _reader.Throws = false;
            _time.Advance(s_period);
            await PolledAsync(4);
        });

        Assert.Equal([0, 20, 40, 60], _sink.Received.Select(s => s.Ticks / TimeSpan.TicksPerMillisecond));
        Assert.Equal(
            [TagStatus.Good, TagStatus.NotRead, TagStatus.NotRead, TagStatus.Good],
            _sink.Received.Select(s => s.First)
        );
        Assert.Equal([1102], _log.Entries.Select(entry => entry.Id));
    }

    [Fact]
    public async Task Cancellation_ends_polling_in_the_middle_of_a_read()
    {
        _reader.Hold();

        await RunAsync(() => Eventually.IsTrueAsync(() => _reader.Reads == 1));

        Assert.Empty(_sink.Received);
        Assert.Empty(_log.Entries);
    }

    [Fact]
    public async Task A_stepped_wall_clock_moves_no_deadline()
    {
        SteppingTimeProvider stepping = new(_time);
        MonotonicClock clock = new(stepping);
        ControllerPoller poller = Poller(clock, _sink);
        using CancellationTokenSource stop = new();
        Task running = poller.RunAsync(stop.Token);
        await PolledAsync(1);

        stepping.WallClockStep = TimeSpan.FromHours(1);
        _time.Advance(s_period);
        await PolledAsync(2);
        stepping.WallClockStep = TimeSpan.FromHours(-1);
        _time.Advance(s_period);
        await PolledAsync(3);
        await stop.CancelAsync();
        await running.WaitAsync(s_patience, TestContext.Current.CancellationToken);

        Assert.All(_observer.Lateness, lateness => Assert.Equal(TimeSpan.Zero, lateness));
        Assert.Equal(0, _observer.Missed);
    }

    private Task RunAsync(Func<Task> script, params ISnapshotSink[] sinks) => RunAsync(_ => script(), sinks);

    private async Task RunAsync(Func<ControllerPoller, Task> script, params ISnapshotSink[] sinks)
    {
        ControllerPoller poller = Poller(_clock, sinks.Length == 0 ? [_sink] : sinks);
        using CancellationTokenSource stop = new();
        Task running = poller.RunAsync(stop.Token);
        await script(poller);
        await stop.CancelAsync();
        await running.WaitAsync(s_patience, TestContext.Current.CancellationToken);
    }

    private ControllerPoller Poller(MonotonicClock clock, params ISnapshotSink[] sinks) =>
        new("packing", _reader, s_period, clock, sinks, _observer, _log);

    private Task PolledAsync(int polls) => Eventually.IsTrueAsync(() => _sink.Received.Count >= polls);

    /// <summary>Two tags, read as told; holds a read until it is released.</summary>
    private sealed class ScriptedReader(MonotonicClock clock) : ITagReader
    {
        private volatile TaskCompletionSource? _held;

        public IReadOnlyList<TagRequest> Tags { get; } =
        [new("Gap", TagType.Dint), new("Speed", TagType.Real)];
        public string? Trouble => null;
        public int Reads { get; private set; }
        public bool Throws { get; set; }
        public TagStatus[] Next { get; set; } = [TagStatus.Good, TagStatus.Good];

        public string? TagTrouble(int tag) => null;

        public void Hold() => _held = new TaskCompletionSource();

        /// <summary>Once it returns the poll is done with and the next deadline waited for: time may go on.</summary>
        public void Release()
        {
            TaskCompletionSource held = _held!;
            _held = null;
            held.SetResult();
        }

        public async ValueTask ReadAsync(TagSnapshot into, CancellationToken cancellation)
        {
            Reads++;
            if (_held is { } held)
                await held.Task.WaitAsync(cancellation);
            if (Throws)
                throw new InvalidOperationException("a driver with a fault");
            into.Ticks = clock.Ticks;
            Next.CopyTo(into.Statuses, 0);
        }

        public ValueTask DisposeAsync() => ValueTask.CompletedTask;
    }

    private sealed class RecordingSink : ISnapshotSink
    {
        private volatile int _count;
        private readonly List<(long Ticks, TagStatus First)> _received = [];

        public IReadOnlyList<(long Ticks, TagStatus First)> Received => _received[.._count];

        public void Receive(TagSnapshot snapshot)
        {
            _received.Add((snapshot.Ticks, snapshot.Statuses[0]));
            _count = _received.Count;
        }
    }

    private sealed class ThrowingSink : ISnapshotSink
    {
        public bool Throws { get; set; } = true;
        public int Calls { get; private set; }

        public void Receive(TagSnapshot snapshot)
        {
            Calls++;
            if (Throws)
                throw new InvalidOperationException("a watch with a fault");
        }
    }

    private sealed class RecordingObserver : IPollObserver
    {
        public List<TimeSpan> Lateness { get; } = [];
        public List<TimeSpan> Durations { get; } = [];
        public List<PollOutcome> Outcomes { get; } = [];
        public List<int> Errors { get; } = [];
        public long Missed { get; private set; }
        public int SinkFailures { get; private set; }

        public void PollingBegins(string controller) { }

        public void PollCompleted(string controller, in PollTimes times, PollOutcome outcome)
        {
            Lateness.Add(times.Lateness);
            Durations.Add(times.Duration);
            Outcomes.Add(outcome);
        }

        public void PollsMissed(string controller, long count) => Missed += count;

        public void ReadErrors(string controller, int count) => Errors.Add(count);

        public void SinkFailed(string controller) => SinkFailures++;
    }

    /// <summary>A wall clock that can be stepped; the monotonic one goes on as it was.</summary>
    private sealed class SteppingTimeProvider(FakeTimeProvider steady) : TimeProvider
    {
        public TimeSpan WallClockStep { get; set; }
        public override long TimestampFrequency => steady.TimestampFrequency;

        public override DateTimeOffset GetUtcNow() => steady.GetUtcNow() + WallClockStep;

        public override long GetTimestamp() => steady.GetTimestamp();

        public override ITimer CreateTimer(
            TimerCallback callback,
            object? state,
            TimeSpan dueTime,
            TimeSpan period
        ) => steady.CreateTimer(callback, state, dueTime, period);
    }
}
