using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.FilmPath;

/// <summary>
/// Says whether the film's edge goes with the dancer, over the last quarter of an hour: coherence of fill and edge at the
/// frequency at which fill moves most. The frequency is chosen by fill alone, so that chance has one try only.
/// </summary>
/// <remarks>
/// A segment counts where film moved for at least half of it; the stops in between belong to it. Averaged over K segments,
/// series that know nothing of each other show 1/K on average and exceed <c>1 - alpha^(1/(K-1))</c> with probability alpha
/// (Carter 1977). Half overlapping Hann segments are worth 0.95 as many that do not overlap (Welch 1967: neighbours'
/// powers correlate by 1/36).
/// </remarks>
internal sealed class EdgeFollower
{
    /// <summary>Samples a segment: 64 s.</summary>
    private const int Length = 512;
    private const double SegmentSeconds = Length * EvenGrid.StepSeconds;

    /// <summary>Lines kept: up to 2 Hz, the fastest cycle; above, block means fold.</summary>
    private const int Lines = 129;

    /// <summary>A straight line was taken out, and the taper is two lines wide: what is slower is not seen well.</summary>
    private const int FirstLine = 2;

    private const double WindowSeconds = 900;
    private const int Segments = (int)(2 * WindowSeconds / SegmentSeconds) - 1;

    /// <summary>With fewer segments, 7 min of running, chance reaches so far that a miss would clear nobody.</summary>
    private const int FewestSegments = 12;
    private const double WorthOfOverlapping = 0.95;
    private const double Alpha = 0.01;

    /// <summary>Half width of a turn's line: the taper's two, and one for a roll that shrinks meanwhile.</summary>
    private const int TurnLines = 3;

    private readonly WelchCoherence _welch = new(Length, Lines, Segments);
    private int _inHalf;
    private int _moving;
    private int _movedBefore;
    private double _keptSeconds;

    /// <summary>What follows does not follow on what was.</summary>
    public void Break()
    {
        _welch.Break();
        _inHalf = _moving = 0;
    }

    /// <param name="seconds">Time, s.</param>
    /// <param name="point">Fill and edge.</param>
    /// <param name="isMoving">The machine draws film.</param>
    public void Add(double seconds, in GridPoint point, bool isMoving)
    {
        if (double.IsNaN(point.Edge))
        {
            Break();
            return;
        }
        _moving += isMoving ? 1 : 0;
        bool isComplete = _welch.Add(point.Fill, point.Edge);
        if (isComplete && _moving + _movedBefore >= Length / 2)
        {
            _welch.Keep(seconds, seconds - WindowSeconds);
            _keptSeconds = seconds;
        }
        if (++_inHalf < Length / 2)
            return;
        _movedBefore = _moving;
        _inHalf = _moving = 0;
    }

    /// <summary>What is known now.</summary>
    /// <param name="seconds">Time, s.</param>
    /// <param name="frequencyHz">Of fill's oscillation, Hz; NaN where there is none: then fill's largest movement counts.</param>
    /// <param name="turnHz">Turns of the roll a second, Hz; NaN where not known.</param>
    public EdgeFinding Finding(double seconds, double frequencyHz, double turnHz)
    {
        if (_welch.Count < FewestSegments || seconds - _keptSeconds > WindowSeconds)
            return EdgeFinding.Unknown;
        double segments = WorthOfOverlapping * _welch.Count;
        double turn = turnHz * SegmentSeconds;
        int line = LineOf(frequencyHz, turn);
        (double wander, double led) = Wander(1 / segments, turn);
        return new EdgeFinding(
            line / SegmentSeconds,
            _welch.Coherence[line],
            1 - Math.Pow(Alpha, 1 / (segments - 1)),
            wander,
            led,
            _welch.Count
        );
    }

    /// <summary>Carries the segments that are complete; the one under way starts afresh, as after any hole.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Edge"u8);
        _welch.Keep(ledger);
        _movedBefore = ledger.Keep(_movedBefore);
        _keptSeconds = ledger.Seconds(_keptSeconds);
        if (ledger.Restores)
            _inHalf = _moving = 0;
    }

    private int LineOf(double frequencyHz, double turn)
    {
        double wanted = Math.Round(frequencyHz * SegmentSeconds);
        if (wanted is >= FirstLine and < Lines)
            return (int)wanted;
        ReadOnlySpan<double> power = _welch.PowerX;
        int largest = FirstLine;
        for (int k = FirstLine; k < Lines; k++)
            largest = power[k] > power[largest] && !IsTurn(k, turn) ? k : largest;
        return largest;
    }

    private (double Millimeters, double LedShare) Wander(double byChance, double turn)
    {
        (double all, double led) = (0, 0);
        for (int k = FirstLine; k < Lines; k++)
        {
            double power = _welch.PowerY[k];
            all += power;
            if (!IsTurn(k, turn))
                led += power * (_welch.Coherence[k] - byChance) / (1 - byChance);
        }
        // Each line stands for itself and for its negative twin; mean square = sum over lines / length (Parseval).
        return (Math.Sqrt(2 * all / Length), all > 0 ? Math.Clamp(led / all, 0, 1) : double.NaN);
    }

    /// <summary>A roll out of round and wound askew moves dancer and edge once or twice a turn, and neither moves the other.</summary>
    private static bool IsTurn(int line, double turn) =>
        Math.Abs(line - turn) < TurnLines || Math.Abs(line - 2 * turn) < TurnLines;
}
