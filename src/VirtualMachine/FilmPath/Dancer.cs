namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// The accumulator. Film stored changes by what comes in less what goes out: dS/dt = v_in - v_out. The dancer follows the
/// film as a damped mass on a spring (second order) between hard stops: beyond full the film goes slack, beyond empty it is
/// taut and the machine gets no more than the roll gives.
/// </summary>
internal sealed class Dancer(
    double storageMeters,
    double naturalHertz,
    double dampingRatio,
    double startPercent
)
{
    /// <summary>How far the dancer can go past full and past empty, %.</summary>
    public const double StopPercent = 15;

    private readonly double _omega = 2 * Math.PI * naturalHertz;
    private double _speedPercentPerSecond;

    /// <summary>Film stored above the empty mark, m; negative below it.</summary>
    public double StoredMeters { get; private set; } = startPercent / 100 * storageMeters;

    /// <summary>Film stored between empty and full, m. Less when the film is threaded short.</summary>
    public double StorageMeters { get; } = storageMeters;

    /// <summary>Where the dancer is, %.</summary>
    public double Percent { get; private set; } = startPercent;

    /// <summary>Moves film in, and out as far as there is film.</summary>
    /// <returns>Film that went out, m.</returns>
    public double Step(double seconds, double inMeters, double wantedOutMeters)
    {
        double lowest = -StopPercent / 100 * StorageMeters;
        double outMeters = Math.Min(wantedOutMeters, Math.Max(0, StoredMeters + inMeters - lowest));
        StoredMeters += inMeters - outMeters;

        // Semi-implicit Euler: stable, and exact enough at 1 ms against a few Hz.
        double pull = _omega * _omega * ((100 * StoredMeters / StorageMeters) - Percent);
        _speedPercentPerSecond += seconds * (pull - (2 * dampingRatio * _omega * _speedPercentPerSecond));
        Percent += seconds * _speedPercentPerSecond;
        if (Percent is < -StopPercent or > 100 + StopPercent)
        {
            Percent = Math.Clamp(Percent, -StopPercent, 100 + StopPercent);
            _speedPercentPerSecond = 0;
        }
        return outMeters;
    }
}
