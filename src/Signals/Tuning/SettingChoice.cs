namespace Dancerwatch.Signals.Tuning;

/// <summary>Why a setting was chosen.</summary>
public enum ChoiceReason
{
    /// <summary>History holds too few trips: the present one stays.</summary>
    TooFewTrips,

    /// <summary>None costs less than the present one.</summary>
    PresentIsBest,

    /// <summary>One costs less, but by no more than chance, or warnings that were heeded, may do: the present one stays.</summary>
    MayBeChance,

    /// <summary>It costs less, by more than chance does.</summary>
    Better,
}

/// <summary>Which of several settings to choose.</summary>
/// <param name="Chosen">Its place.</param>
/// <param name="Cheapest">Place of the one that costs least.</param>
public sealed record SettingChoice(int Chosen, int Cheapest, ChoiceReason Reason)
{
    private const double StandardDeviations = 2;

    /// <param name="scores">The present setting first.</param>
    public static SettingChoice Of(IReadOnlyList<SettingScore> scores, TuningRules rules)
    {
        ArgumentNullException.ThrowIfNull(scores);
        ArgumentNullException.ThrowIfNull(rules);
        double[] costs = [.. scores.Select(score => score.Cost(rules))];
        int cheapest = Array.IndexOf(costs, costs.Min());
        if (scores[0].Trips < rules.FewestTrips)
            return new SettingChoice(0, cheapest, ChoiceReason.TooFewTrips);
        if (cheapest == 0)
            return new SettingChoice(0, 0, ChoiceReason.PresentIsBest);
        int chosen = 0;
        for (int i = 1; i < scores.Count; i++)
        {
            if (costs[i] < costs[chosen] && !MayBeChance(scores[0], scores[i], rules))
                chosen = i;
        }
        return chosen == 0
            ? new SettingChoice(0, cheapest, ChoiceReason.MayBeChance)
            : new SettingChoice(chosen, chosen, ChoiceReason.Better);
    }

    /// <summary>
    /// Looks at what can be told alone: missed trips and false warnings. Both settings saw the same history, so only what they
    /// tell differently is chance: a count n of such things varies by the root of n (Poisson).
    /// </summary>
    private static bool MayBeChance(SettingScore one, SettingScore other, TuningRules rules)
    {
        int trips = one
            .Leads.Zip(other.Leads, (a, b) => double.IsFinite(a) != double.IsFinite(b) ? 1 : 0)
            .Sum();
        double missed = rules.FalseWarningsPerMissedTrip;
        double saved = (missed * (other.Caught - one.Caught)) + one.False - other.False;
        double variance = (missed * missed * trips) + Math.Abs(one.False - other.False);
        return saved <= StandardDeviations * Math.Sqrt(variance);
    }
}
