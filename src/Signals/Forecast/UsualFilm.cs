using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Regimes;

namespace Dancerwatch.Signals.Forecast;

/// <summary>
/// What the machine draws, by the film balance of its blocks: what was unwound less what the accumulator gained. So an unwind
/// that fails before a trip does not pass for a machine that draws less. Followed by a share of each block.
/// </summary>
internal sealed class UsualFilm(double storageMillimeters)
{
    private const double FollowShare = 0.05;
    private const double MillimetersPerSecond = 1000.0 / 60; // of 1 m/min

    private double _millimetersPerSecond = double.NaN;
    private double _pullMillimeters = double.NaN;
    private double _pullSeconds = double.NaN;

    /// <summary>m/min; NaN until known.</summary>
    public double DrawMetersPerMinute => _millimetersPerSecond / MillimetersPerSecond;

    /// <summary>NaN where the cycle rate was never known.</summary>
    public UsualPull Pull => new(_pullMillimeters, _pullSeconds);

    /// <summary>Takes a block.</summary>
    /// <param name="cyclesPerMinute">Read or seen; NaN where neither.</param>
    public void Learn(in FilmBlock block, double cyclesPerMinute)
    {
        double unwound = block.MeanUnwind * MillimetersPerSecond * block.DurationSeconds;
        double drawn = unwound - (block.FillChange / 100 * storageMillimeters);
        if (!double.IsFinite(drawn))
            return;
        _millimetersPerSecond = Followed(_millimetersPerSecond, drawn / block.DurationSeconds);
        double cycles = Math.Round(block.DurationSeconds * cyclesPerMinute / 60);
        if (!(cycles > 0))
            return;
        _pullSeconds = block.DurationSeconds / cycles;
        _pullMillimeters = Followed(_pullMillimeters, drawn / cycles);
    }

    /// <summary>Another product: its bag is another. The draw is followed on.</summary>
    public void Forget() => _pullMillimeters = _pullSeconds = double.NaN;

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("UFlm"u8);
        _millimetersPerSecond = ledger.Keep(_millimetersPerSecond);
        _pullMillimeters = ledger.Keep(_pullMillimeters);
        _pullSeconds = ledger.Keep(_pullSeconds);
    }

    private static double Followed(double usual, double value) =>
        double.IsNaN(usual) ? value : usual + (FollowShare * (value - usual));
}
