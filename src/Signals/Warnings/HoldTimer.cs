namespace Dancerwatch.Signals.Warnings;

/// <summary>How long something has been so without a break. Keep it in a field that is not readonly.</summary>
internal struct HoldTimer
{
    private bool _isSo;
    private double _seconds;

    /// <param name="isSo">Whether it is so at this reading.</param>
    /// <param name="elapsedSeconds">Time since the reading before, s.</param>
    /// <returns>Seconds since the first reading at which it was so; -1 where it is not.</returns>
    public double Next(bool isSo, double elapsedSeconds)
    {
        _seconds = isSo && _isSo ? _seconds + elapsedSeconds : 0;
        _isSo = isSo;
        return isSo ? _seconds : -1;
    }
}
