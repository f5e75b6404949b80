namespace Dancerwatch.Signals.Tuning;

/// <summary>Why a setting was chosen.</summary>
public enum ChoiceReason
{
    /// <summary>History holds too few trips: the present one stays.</summary>
    TooFewTrips,

    /// <summary>None costs less than the present one.</summary>
    PresentIsBest,

    /// <summary>One costs less, but by no more than chance may do: the present one stays.</summary>
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
        int cheapest = 0;
        for (int i = 1; i < scores.Count; i++)
        {
            if (scores[i].Cost(rules) < scores[cheapest].Cost(rules))
                cheapest = i;
        }
        ChoiceReason reason =
            scores[0].Trips < rules.FewestTrips ? ChoiceReason.TooFewTrips
            : cheapest == 0 ? ChoiceReason.PresentIsBest
            : MayBeChance(scores[0], scores[cheapest], rules) ? ChoiceReason.MayBeChance
            : ChoiceReason.Better;
        return new SettingChoice(reason == ChoiceReason.Better ? cheapest : 0, cheapest, reason);
    }

    /// <summary>
    /// Both saw the same history, so only what they tell differently is chance: a count n of such things varies by the root
    /// of n (Poisson).
    /// </summary>
    private static bool MayBeChance(SettingScore one, SettingScore other, TuningRules rules)
    {
        int trips = one
            .Leads.Zip(other.Leads, (a, b) => double.IsFinite(a) != double.IsFinite(b) ? 1 : 0)
            .Sum();
        double variance =
            (rules.FalseWarningsPerMissedTrip * rules.FalseWarningsPerMissedTrip * trips)
            + Math.Abs(one.False - other.False)
            + (Math.Abs(one.Unsettled - other.Unsettled) / 4.0);
        return one.Cost(rules) - other.Cost(rules) <= StandardDeviations * Math.Sqrt(variance);
    }
}
