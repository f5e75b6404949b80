namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// Film that catches on its roll (layers that stick, a torn edge): it holds for a moment, tears free, catches again. A random
/// telegraph signal: held and free times are exponential, with the given share held.
/// </summary>
internal sealed class FilmSnag(double holdingTorqueNewtonMeters, Random random)
{
    private const double MeanCatchAndFreeSeconds = 1.5;

    private bool _isCaught;
    private double _secondsLeft;

    /// <param name="seconds">Length of the step.</param>
    /// <param name="share">Share of time film is caught, 0 to 1.</param>
    /// <returns>Torque against unwinding, N m.</returns>
    public double Step(double seconds, double share)
    {
        if (share <= 0)
            return 0;
        _secondsLeft -= seconds;
        if (_secondsLeft <= 0)
        {
            _isCaught = !_isCaught;
            double mean = MeanCatchAndFreeSeconds * (_isCaught ? share : 1 - share);
            _secondsLeft = -mean * Math.Log(1 - random.NextDouble());
        }
        return _isCaught ? holdingTorqueNewtonMeters : 0;
    }
}
