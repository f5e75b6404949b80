namespace Dancerwatch.Signals.Fill;

/// <summary>What settings of a fill must keep; the first that does not is refused by name. The cam has rules of its own.</summary>
internal static class FillRules
{
    /// <exception cref="ArgumentException">A setting cannot be used.</exception>
    public static void Check(FillSettings s)
    {
        Demand.That(
            s.GapResolution > 0 && double.IsFinite(s.GapResolution),
            nameof(s.GapResolution),
            s.GapResolution,
            "a finite number above 0",
            "Try 1 for a sensor read in counts."
        );
        DemandFinite(nameof(s.GapMinimum), s.GapMinimum);
        Demand.That(
            s.GapMaximum > s.GapMinimum && double.IsFinite(s.GapMaximum),
            nameof(s.GapMaximum),
            s.GapMaximum,
            $"a finite number above GapMinimum ({s.GapMinimum})",
            "Try 4095 for a sensor of 12 bits."
        );
        DemandFinite(nameof(s.GapAtEmpty), s.GapAtEmpty);
        Demand.That(
            FillScale.AreUsable(s.GapAtEmpty, s.GapAtFull, s.GapResolution),
            nameof(s.GapAtFull),
            s.GapAtFull,
            $"a finite number at least {FillScale.FewestSteps} steps of GapResolution ({s.GapResolution}) away from GapAtEmpty ({s.GapAtEmpty})",
            "Teach both ends again: a dancer that moves gives two different gaps."
        );
        DemandFinite(nameof(s.TargetPercent), s.TargetPercent);
        Demand.That(
            s.OvertravelPercent >= 0 && double.IsFinite(s.OvertravelPercent),
            nameof(s.OvertravelPercent),
            s.OvertravelPercent,
            "a finite number, 0 or more",
            "Try 5."
        );
        Demand.That(
            s.TripHoldSeconds >= 0 && double.IsFinite(s.TripHoldSeconds),
            nameof(s.TripHoldSeconds),
            s.TripHoldSeconds,
            "a finite number, 0 or more",
            "Try 0.5."
        );
    }

    private static void DemandFinite(string name, double value) =>
        Demand.That(double.IsFinite(value), name, value, "a finite number", "Read it off the controller.");
}
