using System.Buffers;
using System.Buffers.Binary;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Watching;

/// <summary>
/// Watches one machine: each reading goes through the mathematics, each change of a condition goes out as an event, and
/// the latest state can be asked for at any time. Readings come from one thread; the state may be asked from others.
/// </summary>
/// <param name="toWallClock">
/// UTC time of a reading's ticks: of the live clock, or of a trace's. Asked once an event and once a state.
/// </param>
public sealed class MachineWatch(
    MachinePlace place,
    MachineSettings settings,
    Func<long, DateTimeOffset> toWallClock,
    IEventSink events
)
{
    private static readonly Condition[] s_conditions = Enum.GetValues<Condition>();

    private readonly Lock _gate = new();
    private MachineAssessor _assessor = new(settings);

    // Taken when raised, so that an occurrence keeps its id though the wall clock be set while it lasts.
    private readonly long[] _onsetMilliseconds = new long[s_conditions.Length];
    private Assessment? _latest;
    private bool _closed;
    private long _changes;

    public MachinePlace Place { get; } = place;

    /// <summary>Where the machine trips.</summary>
    public FillSettings Limits => settings.Fill;

    /// <summary>Told when the machine trips: ticks of the reading, and the side. On the poll loop.</summary>
    public Action<long, Side>? Tripped { get; init; }

    /// <summary>Keeps the fill of the last minutes where somebody may look at it; null for not.</summary>
    public FillTrace? Trace { get; init; }

    /// <summary>Keeps the last warnings that are over, likewise.</summary>
    public PastWarnings? Past { get; init; }

    /// <summary>Whether the watch has ended. One that goes on elsewhere has not.</summary>
    public bool IsClosed
    {
        get
        {
            lock (_gate)
                return _closed;
        }
    }

    /// <summary>Takes the next reading. Allocates nothing unless a condition changes.</summary>
    public void Process(in Reading reading)
    {
        lock (_gate)
        {
            if (_closed)
                return;
            long ignored = _assessor.IgnoredReadings;
            Assessment assessment = _assessor.Process(reading);
            // An ignored reading leaves the assessment, with its transitions, as the reading before made it.
            if (_assessor.IgnoredReadings != ignored)
                return;
            _latest = assessment;
            Trace?.Add(
                assessment.Ticks,
                assessment.Quality == Quality.Bad ? double.NaN : assessment.Fill.Percent
            );
            if (assessment.Regime is { Regime: Regime.Tripped, Changed: true })
                Tripped?.Invoke(assessment.Ticks, assessment.Regime.TripSide);
            for (int i = 0; i < assessment.Transitions.Count; i++)
                Raise(assessment.Transitions[i]);
        }
    }

    /// <summary>Changes of conditions so far.</summary>
    public long Changes => Interlocked.Read(ref _changes);

    /// <summary>
    /// Writes down what must outlive the process. Holds up the next reading for as long as it takes to copy it, and allocates
    /// nothing itself.
    /// </summary>
    /// <param name="knownTicks">Time of the reading as of which it was written last; null for never.</param>
    /// <returns>Monotonic time of the latest reading, ticks of 100 ns; null, and nothing written, where there is none newer.</returns>
    public long? Save(IBufferWriter<byte> into, long? knownTicks)
    {
        ArgumentNullException.ThrowIfNull(into);
        lock (_gate)
        {
            // As restored, it stands on disk already.
            if (_latest is null || _assessor.LatestTicks is not { } ticks || ticks == knownTicks)
                return null;
            foreach (long onset in _onsetMilliseconds)
            {
                BinaryPrimitives.WriteInt64LittleEndian(into.GetSpan(sizeof(long)), onset);
                into.Advance(sizeof(long));
            }
            _assessor.Save(into);
            return ticks;
        }
    }

    /// <summary>Goes on where the watch that was saved stopped. Before the first reading.</summary>
    /// <param name="saved">What <see cref="Save"/> wrote.</param>
    /// <param name="nowTicks">Monotonic time of now, ticks of 100 ns.</param>
    /// <param name="away">Since the latest reading of then.</param>
    /// <exception cref="InvalidDataException">It is not what this version writes for this machine; nothing is restored.</exception>
    public void Restore(ReadOnlyMemory<byte> saved, long nowTicks, TimeSpan away)
    {
        int onsets = _onsetMilliseconds.Length * sizeof(long);
        if (saved.Length < onsets)
            throw new InvalidDataException("it ends too early");
        MachineAssessor restored = MachineAssessor.Restore(settings, saved[onsets..], nowTicks, away);
        lock (_gate)
        {
            _assessor = restored;
            for (int i = 0; i < _onsetMilliseconds.Length; i++)
                _onsetMilliseconds[i] = BinaryPrimitives.ReadInt64LittleEndian(
                    saved.Span[(i * sizeof(long))..]
                );
        }
    }

    /// <summary>Takes over what was told last of a condition after the watch was saved. Before the first reading.</summary>
    /// <param name="onsetMilliseconds">When it was raised, as its id has it.</param>
    /// <param name="told">With times on this watch's clock.</param>
    /// <param name="nowTicks">Monotonic time of now, ticks of 100 ns.</param>
    public void Recall(long onsetMilliseconds, ConditionTransition told, long nowTicks)
    {
        ArgumentNullException.ThrowIfNull(told);
        lock (_gate)
        {
            _onsetMilliseconds[(int)told.Condition] = onsetMilliseconds;
            _assessor.Recall(told, nowTicks);
        }
    }

    /// <summary>A copy of the machine's state as of its last reading; null before the first.</summary>
    public MachineState? State()
    {
        lock (_gate)
        {
            if (_latest is not { } latest)
                return null;
            return new MachineState
            {
                Place = Place,
                Milliseconds = WallClock(latest.Ticks),
                Quality = latest.Quality,
                Fill = latest.Fill,
                Regime = latest.Regime,
                OneMinute = latest.OneMinute,
                FifteenMinutes = latest.FifteenMinutes,
                EightHours = latest.EightHours,
                Oscillation = latest.Oscillation,
                Roll = latest.Roll,
                Margin = latest.Margin,
                Forecast = latest.Forecast,
                FilmPath = latest.FilmPath,
                Open = Open(),
            };
        }
    }

    /// <summary>Ends the watch and clears what it has raised, since nobody would any more. Later readings are ignored.</summary>
    /// <param name="why">Evidence of the clearing: one sentence.</param>
    public void Close(string why)
    {
        lock (_gate)
        {
            if (_closed)
                return;
            _closed = true;
            foreach (Condition condition in s_conditions)
            {
                if (_assessor.Open(condition) is { } open)
                {
                    // Restored, and nothing read since: the last that is known of it.
                    long ticks = _latest?.Ticks ?? open.Ticks;
                    int step = open.Step + 1;
                    Raise(
                        open with
                        {
                            State = ConditionState.Cleared,
                            Ticks = ticks,
                            Step = step,
                            Evidence = why,
                        }
                    );
                }
            }
        }
    }

    private void Raise(ConditionTransition transition)
    {
        ref long onset = ref _onsetMilliseconds[(int)transition.Condition];
        if (transition.State == ConditionState.Raised)
            onset = WallClock(transition.OnsetTicks);
        Interlocked.Increment(ref _changes);
        MachineEvent raised = new(Place, onset, WallClock(transition.Ticks), transition);
        events.Raise(raised);
        Past?.Note(raised);
    }

    private List<OpenCondition> Open()
    {
        List<OpenCondition> open = [];
        if (_closed)
            return open;
        foreach (Condition condition in s_conditions)
        {
            if (_assessor.Open(condition) is { } transition)
                open.Add(new OpenCondition(_onsetMilliseconds[(int)condition], transition));
        }
        return open;
    }

    private long WallClock(long ticks) => toWallClock(ticks).ToUnixTimeMilliseconds();
}
