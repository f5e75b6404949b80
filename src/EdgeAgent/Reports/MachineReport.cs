namespace Dancerwatch.EdgeAgent.Reports;

/// <summary>
/// A machine over a period: all that the page and the JSON of a report say. Times are ms since 1970-01-01 UTC; fill, margins
/// and amplitudes % of fill; NaN (null in JSON) is not known.
/// </summary>
internal sealed record MachineReport
{
    public const string CurrentFormat = "dancerwatch report 1";

    public string Format { get; init; } = CurrentFormat;
    public required string Site { get; init; }
    public required string Area { get; init; }
    public required string Line { get; init; }
    public required string Machine { get; init; }

    /// <summary>IANA name of the zone in which the page tells times.</summary>
    public required string TimeZone { get; init; }

    /// <summary>First reading of the period.</summary>
    public required long From { get; init; }

    /// <summary>Last reading of the period.</summary>
    public required long To { get; init; }

    /// <summary>What the period was asked for as, in words.</summary>
    public required string Asked { get; init; }
    public required long Readings { get; init; }
    public required ReportLimits Limits { get; init; }
    public required ReportHours Hours { get; init; }
    public required TripRate TripRate { get; init; }

    /// <summary>Warnings that ended by themselves and no trip came, as <c>tune</c> counts them.</summary>
    public required int FalseWarnings { get; init; }

    /// <summary>Warnings of which that cannot be told.</summary>
    public required int UnsettledWarnings { get; init; }
    public required IReadOnlyList<TripRow> Trips { get; init; }
    public required IReadOnlyList<WarningRow> Warnings { get; init; }
    public required IReadOnlyList<StopRow> Stops { get; init; }
    public required IReadOnlyList<CauseRow> Causes { get; init; }
    public required Timeline Timeline { get; init; }
    public ChangeReport? Change { get; init; }

    /// <summary>What was left out of the history, and why.</summary>
    public required IReadOnlyList<string> LeftOut { get; init; }
}

/// <summary>Where the machine trips and where its controller keeps the dancer, % of fill.</summary>
internal sealed record ReportLimits(double EmptyTrip, double FullTrip, double Target);

/// <summary>Hours of what the machine did; hours without readings are in none of them.</summary>
internal sealed record ReportHours(double Running, double Standing, double Tripped, double Other);

/// <summary>Trips that could have been warned of, and hours of running between two: exact 95 % interval (Garwood 1936).</summary>
internal sealed record TripRate(
    int Trips,
    int UnderWay,
    double Hours,
    double Between,
    double AtLeast,
    double AtMost
);

/// <summary>A trip.</summary>
/// <param name="LeadSeconds">From the first warning that foretold it; null where it was missed or could not be foretold.</param>
/// <param name="UnderWay">It was under way when the machine was started; no warning could come.</param>
internal sealed record TripRow(
    long Time,
    string? Side,
    double? LeadSeconds,
    bool UnderWay,
    string Cause,
    double Confidence
);

/// <summary>A warning, from raised to cleared.</summary>
/// <param name="Cleared">Null while it is raised at the end of the period.</param>
/// <param name="Priority">The highest it had.</param>
internal sealed record WarningRow(
    string Condition,
    string Priority,
    string? Side,
    long Raised,
    long? Cleared,
    string Cause,
    double Confidence,
    string Evidence,
    string Check
);

/// <summary>The machine stood: from when, for how long in s, and whether a trip stopped it.</summary>
internal sealed record StopRow(long Time, double Seconds, bool ByTrip);

/// <summary>A cause, by the trips and warnings that named it first.</summary>
internal sealed record CauseRow(string Cause, int Trips, int Warnings, double MinutesWarned);

/// <summary>
/// What was measured over the period, a value a step; the worst of a step where it holds several minutes. Only of running: NaN
/// where the machine stood or nothing was read.
/// </summary>
/// <param name="StepMinutes">Minutes of a step.</param>
/// <param name="P01">Lower edge of the minute's band of fill.</param>
/// <param name="P99">Upper edge.</param>
/// <param name="Amplitude">Zero-to-peak amplitude of the strongest regular movement, the cycle's own included.</param>
/// <param name="Diameter">Of the roll, mm.</param>
internal sealed record Timeline(
    int StepMinutes,
    IReadOnlyList<long> Time,
    IReadOnlyList<double> P01,
    IReadOnlyList<double> P50,
    IReadOnlyList<double> P99,
    IReadOnlyList<double> FullMargin,
    IReadOnlyList<double> EmptyMargin,
    IReadOnlyList<double> Amplitude,
    IReadOnlyList<double> FrequencyHz,
    IReadOnlyList<string> Rhythm,
    IReadOnlyList<double> Diameter
);

/// <summary>Before and after a change.</summary>
/// <param name="Trips">Exact conditional test of two rates; null where the machine did not run on one side.</param>
/// <param name="Margin">Ranks of the running hours' margins; null where there are too few hours.</param>
internal sealed record ChangeReport(
    long Time,
    ChangeSide Before,
    ChangeSide After,
    RateChange? Trips,
    MarginChange? Margin,
    string Verdict
);

/// <summary>One side of a change.</summary>
/// <param name="MarginHours">Running hours that have a margin.</param>
internal sealed record ChangeSide(double RunningHours, int Trips, int MarginHours);

/// <summary>Trips an hour after over before, with its exact 95 % interval.</summary>
internal sealed record RateChange(double PValue, double Ratio, double Least, double Most);

/// <summary>The smaller margin of each running hour, its median over the hour.</summary>
/// <param name="LargerShare">Share of pairs in which the later hour has the larger margin.</param>
internal sealed record MarginChange(
    double PValue,
    double LargerShare,
    double MedianBefore,
    double MedianAfter
);
