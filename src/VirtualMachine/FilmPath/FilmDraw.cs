namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// The machine's pull: one bag a cycle, in a trapezoid of speed (a third of the pull rising, a third steady, a third
/// falling), then nothing until the next. The cycle rate ramps at start and stop, and stops short at a trip.
/// </summary>
internal sealed class FilmDraw(double share)
{
    private const double StartSeconds = 3;
    private const double StopSeconds = 1.5;
    private const double TripStopSeconds = 0.3;

    private double _phase;

    /// <summary>Cycles per second now.</summary>
    public double CyclesPerSecond { get; private set; }

    /// <summary>Film speed into the machine over one step, m/s.</summary>
    /// <param name="seconds">Length of the step.</param>
    /// <param name="nominalCyclesPerSecond">Wanted while running; sets the steepness of the ramps.</param>
    /// <param name="bagMeters">Film pulled a cycle.</param>
    /// <param name="running">Ramp up, else down.</param>
    /// <param name="tripped">Stop short.</param>
    public double Step(
        double seconds,
        double nominalCyclesPerSecond,
        double bagMeters,
        bool running,
        bool tripped
    )
    {
        double slope = nominalCyclesPerSecond * seconds;
        double wanted = running ? nominalCyclesPerSecond : 0;
        CyclesPerSecond += Math.Clamp(
            wanted - CyclesPerSecond,
            -slope / (tripped ? TripStopSeconds : StopSeconds),
            slope / StartSeconds
        );
        _phase += CyclesPerSecond * seconds;
        if (_phase >= 1)
            _phase -= 1;
        double pull = _phase / share;
        if (pull >= 1 || CyclesPerSecond == 0)
            return 0;
        // The trapezoid's area is 2/3 of its height.
        double peak = bagMeters * CyclesPerSecond * 1.5 / share;
        return peak * Math.Min(1, 3 * Math.Min(pull, 1 - pull));
    }
}
