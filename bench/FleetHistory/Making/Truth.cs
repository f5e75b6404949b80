using Dancerwatch.VirtualMachine.Faults;

namespace Dancerwatch.Bench.FleetHistory.Making;

/// <summary>A roll was on the spindle.</summary>
internal sealed record RollOn(double From, double To, double OutOfRoundMillimeters);

/// <summary>The machine tripped; it had last been started at <paramref name="StartedAt"/>.</summary>
internal sealed record TripOf(double At, bool IsFull, double StartedAt);

/// <summary>Something was wrong, s of the day.</summary>
internal sealed record WrongFrom(Fault Fault, double From, double To);

/// <summary>
/// What was really the case on one machine's day: of the physics and of the plan, never of readings. Seconds are of the day.
/// </summary>
internal sealed class Truth(PlannedMachine machine)
{
    private readonly List<RollOn> _rolls = [];
    private readonly List<TripOf> _trips = [];
    private readonly List<WrongFrom> _wrong = [];
    private double _started = double.NegativeInfinity;

    public PlannedMachine Machine => machine;
    public IReadOnlyList<RollOn> Rolls => _rolls;
    public IReadOnlyList<TripOf> Trips => _trips;
    public IReadOnlyList<WrongFrom> Wrong => _wrong;
    public MarginTally Margins { get; } = new();

    public void PutOn(double now, double outOfRound)
    {
        EndRoll(now);
        _rolls.Add(new RollOn(now, double.NaN, outOfRound));
    }

    public void Started(double now) => _started = now;

    public void Tripped(double now, bool isFull) => _trips.Add(new TripOf(now, isFull, _started));

    public void WentWrong(double now, Fault fault) =>
        _wrong.Add(new WrongFrom(fault, now, double.PositiveInfinity));

    public void Mended(double now)
    {
        for (int i = 0; i < _wrong.Count; i++)
        {
            if (double.IsInfinity(_wrong[i].To))
                _wrong[i] = _wrong[i] with { To = now };
        }
    }

    public void Saw(double now, double fillPercent, bool isRunning)
    {
        if (!isRunning)
            return;
        int half = Shifts.Half(now);
        int product = Shifts.Product(half, machine.Seed);
        double speed = machine.Built.LineMetersPerMinute * Shifts.BagShare(product) * Shifts.RateShare(half);
        Margins.Add(
            (product, MarginTally.SpeedBand(speed), Shifts.Of(now)),
            100 + machine.Configured.OvertravelPercent - fillPercent,
            machine.Configured.OvertravelPercent + fillPercent
        );
    }

    public void End(double now) => EndRoll(now);

    private void EndRoll(double now)
    {
        if (_rolls.Count > 0)
            _rolls[^1] = _rolls[^1] with { To = now };
    }
}
