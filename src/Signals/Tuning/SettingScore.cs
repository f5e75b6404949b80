namespace Dancerwatch.Signals.Tuning;

/// <summary>How one setting did on history.</summary>
/// <param name="Leads">For each trip, in order: seconds from the first warning that foretold it; NaN where it was missed.</param>
/// <param name="False">Warnings that ended by themselves, and no trip came.</param>
/// <param name="Unsettled">Warnings of which that cannot be told.</param>
/// <param name="RunningHours">Hours that the machines ran.</param>
public sealed record SettingScore(IReadOnlyList<double> Leads, int False, int Unsettled, double RunningHours)
{
    public int Trips => Leads.Count;

    public int Caught => Leads.Count(double.IsFinite);

    /// <summary>Half of the trips that were caught were caught at least so early, s; NaN of none.</summary>
    public double MedianLead => Quantile(0.5);

    /// <summary>One in ten of them was caught later than that, s; NaN of none.</summary>
    public double LowLead => Quantile(0.1);

    public double FalsePer100Hours => 100 * False / RunningHours;

    public double UnsettledPer100Hours => 100 * Unsettled / RunningHours;

    /// <summary>Scores of several machines as one.</summary>
    public static SettingScore Of(IEnumerable<SettingScore> machines)
    {
        SettingScore[] all = [.. machines];
        return new SettingScore(
            [.. all.SelectMany(one => one.Leads)],
            all.Sum(one => one.False),
            all.Sum(one => one.Unsettled),
            all.Sum(one => one.RunningHours)
        );
    }

    /// <summary>Missed trips and false warnings on one scale, in false warnings; an unsettled one counts half.</summary>
    public double Cost(TuningRules rules)
    {
        ArgumentNullException.ThrowIfNull(rules);
        return ((Trips - Caught) * rules.FalseWarningsPerMissedTrip) + False + (Unsettled / 2.0);
    }

    /// <summary>Type 7 of Hyndman and Fan 1996, as R's default (from memory).</summary>
    private double Quantile(double share)
    {
        double[] sorted = [.. Leads.Where(double.IsFinite).Order()];
        if (sorted.Length == 0)
            return double.NaN;
        double place = share * (sorted.Length - 1);
        int below = (int)place;
        int above = Math.Min(below + 1, sorted.Length - 1);
        return sorted[below] + ((place - below) * (sorted[above] - sorted[below]));
    }
}
