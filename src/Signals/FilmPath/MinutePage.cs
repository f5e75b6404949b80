namespace Dancerwatch.Signals.FilmPath;

/// <summary>What the film did within one minute.</summary>
internal struct MinutePage
{
    /// <summary>Time running, s.</summary>
    public double RunningSeconds;

    /// <summary>Of it with fill within 10 % of full, and of empty, s.</summary>
    public double NearFullSeconds;
    public double NearEmptySeconds;

    /// <summary>Time over which the cycle could be taken out of the dancer's movement, s.</summary>
    public double CycleFreeSeconds;

    /// <summary>Sudden reversals in that time.</summary>
    public int Reversals;

    /// <summary>Lowest and highest mean over whole cycles, % of fill; both 0 where there was none.</summary>
    public double LowestMean;
    public double HighestMean;

    /// <summary>Film asked of the unwind and film it gave while running, m/min times s.</summary>
    public double AskedFilm;
    public double GivenFilm;

    /// <summary>Stops; those whose overrun is known, and those of them with one; those that left film slack.</summary>
    public int Stops;
    public int JudgedStops;
    public int Overruns;
    public int SlackStops;

    /// <summary>Largest overrun of a stop, %.</summary>
    public double LargestOverrunPercent;

    /// <summary>Share of the asked film that the unwind did not give, %; NaN where that is not known or the machine ran too little.</summary>
    public readonly double LackPercent =>
        RunningSeconds >= 20 && AskedFilm > 0 ? 100 * (1 - GivenFilm / AskedFilm) : double.NaN;

    /// <summary>How far the dancer went within the page, its cycle taken out, % of fill.</summary>
    public readonly double RangePercent => HighestMean - LowestMean;

    public void AddMean(double meanFill, double seconds)
    {
        bool isFirst = CycleFreeSeconds == 0;
        LowestMean = isFirst ? meanFill : Math.Min(LowestMean, meanFill);
        HighestMean = isFirst ? meanFill : Math.Max(HighestMean, meanFill);
        CycleFreeSeconds += seconds;
    }

    /// <summary>Adds what can be summed; a range stays a minute's.</summary>
    public void Add(in MinutePage other)
    {
        RunningSeconds += other.RunningSeconds;
        NearFullSeconds += other.NearFullSeconds;
        NearEmptySeconds += other.NearEmptySeconds;
        CycleFreeSeconds += other.CycleFreeSeconds;
        Reversals += other.Reversals;
        AskedFilm += other.AskedFilm;
        GivenFilm += other.GivenFilm;
        Stops += other.Stops;
        JudgedStops += other.JudgedStops;
        Overruns += other.Overruns;
        SlackStops += other.SlackStops;
        LargestOverrunPercent = Math.Max(LargestOverrunPercent, other.LargestOverrunPercent);
    }
}
