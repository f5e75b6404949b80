using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.VirtualMachine.Hall;

namespace Dancerwatch.EdgeAgent.Demo;

/// <summary>
/// What happened in the demo, in the order and at the time it was learnt: warnings as they came from the broker, trips as the
/// machines made them. Thread-safe.
/// </summary>
internal sealed class DemoJournal(TimeProvider time)
{
    private readonly Lock _gate = new();
    private readonly long _start = time.GetTimestamp();
    private readonly List<(TimeSpan At, ReceivedEvent Heard)> _raised = [];
    private readonly List<(TimeSpan At, HallTrip Trip)> _trips = [];

    public void Note(ReceivedEvent heard)
    {
        lock (_gate)
        {
            if (heard.State != "cleared")
                _raised.Add((time.GetElapsedTime(_start), heard));
        }
    }

    public void Note(HallTrip trip)
    {
        lock (_gate)
            _trips.Add((time.GetElapsedTime(_start), trip));
    }

    public bool HasTripped(string machine)
    {
        lock (_gate)
            return _trips.Any(noted => noted.Trip.Machine == machine);
    }

    /// <summary>What is to be said of one machine.</summary>
    public MachineOutcome Outcome(HallMachine machine)
    {
        lock (_gate)
        {
            (TimeSpan At, HallTrip Trip)? trip = _trips
                .Where(noted => noted.Trip.Machine == machine.Name)
                .Select(noted => ((TimeSpan, HallTrip)?)noted)
                .FirstOrDefault();
            string? side = trip is { } made ? SideOf(made.Trip) : null;
            (TimeSpan At, ReceivedEvent Heard)[] before =
            [
                .. _raised.Where(noted =>
                    noted.Heard.Machine == machine.Name && (trip is null || noted.At < trip.Value.At)
                ),
            ];
            (TimeSpan At, ReceivedEvent Heard)? first = before
                .Where(noted => side is null || noted.Heard.Side == side)
                .Select(noted => ((TimeSpan, ReceivedEvent)?)noted)
                .FirstOrDefault();
            return new MachineOutcome(
                machine,
                trip?.At,
                side,
                first?.At,
                first?.Heard,
                before.LastOrDefault().Heard
            );
        }
    }

    public static string SideOf(HallTrip trip) => trip.FullSide ? "full" : "empty";
}

/// <summary>One machine's demo in a nutshell.</summary>
/// <param name="Machine">Which.</param>
/// <param name="TrippedAt">Since the start; null where it did not trip.</param>
/// <param name="Side">Of the trip.</param>
/// <param name="WarnedAt">Of the first warning before the trip that named its side; of the first at all where there was no trip.</param>
/// <param name="Warning">That warning.</param>
/// <param name="LastWarning">The last before the trip, whatever it said: what we knew at the end.</param>
internal sealed record MachineOutcome(
    HallMachine Machine,
    TimeSpan? TrippedAt,
    string? Side,
    TimeSpan? WarnedAt,
    ReceivedEvent? Warning,
    ReceivedEvent? LastWarning
)
{
    public bool IsHealthy => Machine.Faults.Count == 0;

    /// <summary>A faulty machine was warned of on the right side before it tripped; a healthy one never.</summary>
    public bool IsRight =>
        IsHealthy ? Warning is null && TrippedAt is null : TrippedAt is not null && WarnedAt is not null;
}
