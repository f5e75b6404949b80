namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>An operator turns the roll by hand, either way, until the accumulator holds what he wants.</summary>
internal sealed class HandWork
{
    private const double MetersPerSecond = 0.15;
    private const double CloseEnoughPercent = 1;

    private double _wantedPercent = double.NaN;

    public bool IsBusy => !double.IsNaN(_wantedPercent);

    public void MoveTo(double fillPercent) => _wantedPercent = fillPercent;

    /// <returns>Angle turned, rad; negative winds back on.</returns>
    public double Step(double seconds, double storedPercent, Roll roll)
    {
        double missing = _wantedPercent - storedPercent;
        if (Math.Abs(missing) < CloseEnoughPercent || (missing > 0 && roll.IsEmpty))
        {
            _wantedPercent = double.NaN;
            return 0;
        }
        return Math.Sign(missing) * MetersPerSecond * seconds / (roll.DiameterMeters / 2);
    }
}
