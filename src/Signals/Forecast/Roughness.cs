namespace Dancerwatch.Signals.Forecast;

/// <summary>
/// How far a reading lies off the straight line between its neighbours: the second difference, which a dancer's own inertia
/// keeps small and noise does not. Only readings that stand a poll apart count, since the film's own bend grows with the
/// square of the distance; and their median, since a computer that is busy for a moment, or a controller that is late with
/// its scan, makes a few of them look rough.
/// </summary>
/// <param name="pollSeconds">Time between two reads when all goes well, s.</param>
internal sealed class Roughness(double pollSeconds)
{
    private const int Capacity = 256;

    /// <summary>Readings further apart than this many polls do not count.</summary>
    private const double FurthestPolls = 1.5;

    private readonly double[] _bends = new double[Capacity];
    private int _count;
    private double _secondsBefore = double.NaN;
    private double _secondsTwoBefore = double.NaN;
    private double _before;
    private double _twoBefore;

    /// <summary>Median, in the unit of what was added; NaN where no three readings stood a poll apart.</summary>
    public double Percent => _count == 0 ? double.NaN : Median.Of(_bends.AsSpan(0, _count));

    /// <summary>Starts a new block; the readings before it still are neighbours.</summary>
    public void Clear() => _count = 0;

    /// <summary>The next reading has no neighbours before it.</summary>
    public void Break() => _secondsBefore = _secondsTwoBefore = double.NaN;

    /// <summary>Takes a reading; O(1). Readings beyond the first 256 of a block are left out.</summary>
    public void Add(double seconds, double fill)
    {
        // The same once more may be an old scan of the controller: what then follows is later than it seems.
        if (fill == _before && double.IsFinite(_secondsBefore))
            return;
        double late = seconds - _secondsBefore;
        double early = _secondsBefore - _secondsTwoBefore;
        if (Math.Max(late, early) < FurthestPolls * pollSeconds && _count < Capacity)
            _bends[_count++] =
                2 * Math.Abs(((early * fill) + (late * _twoBefore)) / (early + late) - _before);
        (_secondsTwoBefore, _twoBefore) = (_secondsBefore, _before);
        (_secondsBefore, _before) = (seconds, fill);
    }
}
