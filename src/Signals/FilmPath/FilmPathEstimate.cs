namespace Dancerwatch.Signals.FilmPath;

/// <summary>Where to look first when film wanders or goes slack.</summary>
public enum FilmPathVerdict
{
    NotEnoughData,

    /// <summary>The readings show an unwind that upsets the film.</summary>
    AccumulatorFirst,

    /// <summary>They show none.</summary>
    LookElsewhere,
}

/// <summary>
/// What the unwind does to the film, over the last quarter of an hour (the minute under way and the fourteen before) and at
/// the last stop. NaN where not known.
/// </summary>
public readonly record struct FilmPathEstimate
{
    /// <summary>Time the machine ran, min.</summary>
    public double RunningMinutes { get; init; }

    /// <summary>Share of it with fill at 90 % or above, and at 10 % or below, 0 to 1.</summary>
    public double NearFullShare { get; init; }

    /// <inheritdoc cref="NearFullShare"/>
    public double NearEmptyShare { get; init; }

    /// <summary>99th percentile of the dancer's speed while running, the cycle's own swing included, %/s.</summary>
    public double DancerSpeedP99 { get; init; }

    /// <summary>Sudden reversals of the dancer, its cycle's own swing taken out, per minute of running; NaN without a cycle rate.</summary>
    public double ReversalsPerMinute { get; init; }

    /// <summary>Sudden reversals in the minute that had most.</summary>
    public double MostReversals { get; init; }

    /// <summary>How far the dancer went within a minute, its cycle's swing taken out, in the widest one, % of fill.</summary>
    public double WidestMinutePercent { get; init; }

    /// <summary>Stops from running.</summary>
    public int Stops { get; init; }

    /// <summary>Stops at which the roll ran on by more than 5 % of fill after the machine drew no more.</summary>
    public double OverrunStops { get; init; }

    /// <summary>Stops at which the roll gave film although the dancer stood past full.</summary>
    public int SlackStops { get; init; }

    /// <summary>Largest overrun of all stops, % of fill.</summary>
    public double LargestOverrunPercent { get; init; }

    /// <summary>Overrun of the last stop, % of fill, and film that it left slack, mm.</summary>
    public double LastOverrunPercent { get; init; }

    /// <inheritdoc cref="LastOverrunPercent"/>
    public double LastSlackMillimeters { get; init; }

    /// <summary>Share of the asked film that the unwind did not give in the last minute or two of running, %.</summary>
    public double LackPercent { get; init; }

    /// <summary>Least that lacked in a minute since the product began: two speed signals seldom agree, %.</summary>
    public double LeastLackPercent { get; init; }

    /// <summary>Amplitude and frequency of a regular movement beside the cycle, % of fill zero to peak, and Hz.</summary>
    public double SwingPercent { get; init; }

    /// <inheritdoc cref="SwingPercent"/>
    public double SwingHz { get; init; }

    /// <summary>Whether the film's edge goes with the dancer.</summary>
    public EdgeFinding Edge { get; init; }

    /// <summary>How far the unwind upsets the film, 0 to 1.</summary>
    public double Score { get; init; }

    public FilmPathVerdict Verdict { get; init; }

    /// <summary>Share of running time near either end, 0 to 1.</summary>
    public double NearEndShare => NearFullShare + NearEmptyShare;

    /// <summary>What lacks beyond the least that ever lacked, %.</summary>
    public double ExtraLackPercent => LackPercent - LeastLackPercent;

    /// <summary>The verdict in one sentence, with the numbers that decided.</summary>
    public string Told => FilmPathText.Of(this);

    /// <summary>Nothing known.</summary>
    public static FilmPathEstimate Unknown { get; } =
        new()
        {
            RunningMinutes = 0,
            NearFullShare = double.NaN,
            NearEmptyShare = double.NaN,
            DancerSpeedP99 = double.NaN,
            ReversalsPerMinute = double.NaN,
            MostReversals = double.NaN,
            WidestMinutePercent = double.NaN,
            OverrunStops = double.NaN,
            LargestOverrunPercent = double.NaN,
            LastOverrunPercent = double.NaN,
            LastSlackMillimeters = double.NaN,
            LackPercent = double.NaN,
            LeastLackPercent = double.NaN,
            SwingPercent = double.NaN,
            SwingHz = double.NaN,
            Edge = EdgeFinding.Unknown,
            Score = double.NaN,
            Verdict = FilmPathVerdict.NotEnoughData,
        };
}
