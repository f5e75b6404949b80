namespace Dancerwatch.EdgeAgent.Reports;

/// <summary>Causes ranked: by the trips that named them, then by the minutes that warnings named them.</summary>
internal static class CauseTable
{
    private const double MillisecondsPerMinute = 60_000;

    /// <param name="to">End of the period, for warnings still raised.</param>
    public static IReadOnlyList<CauseRow> Of(
        IReadOnlyList<TripRow> trips,
        IReadOnlyList<WarningRow> warnings,
        long to
    ) =>
        [
            .. trips
                .Select(trip => trip.Cause)
                .Concat(warnings.Select(warning => warning.Cause))
                .Distinct()
                .Select(cause => new CauseRow(
                    cause,
                    trips.Count(trip => trip.Cause == cause),
                    warnings.Count(warning => warning.Cause == cause),
                    Math.Round(
                        warnings
                            .Where(warning => warning.Cause == cause)
                            .Sum(warning =>
                                ((warning.Cleared ?? to) - warning.Raised) / MillisecondsPerMinute
                            ),
                        1
                    )
                ))
                .OrderByDescending(row => row.Trips)
                .ThenByDescending(row => row.MinutesWarned),
        ];
}
