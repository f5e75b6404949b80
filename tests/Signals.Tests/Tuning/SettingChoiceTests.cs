using Dancerwatch.Signals.Tuning;

namespace Dancerwatch.Signals.Tests.Tuning;

public sealed class SettingChoiceTests
{
    private static readonly TuningRules s_rules = new() { FalseWarningsPerMissedTrip = 20, FewestTrips = 10 };

    [Fact]
    public void A_missed_trip_costs_as_much_as_the_rules_say_and_one_that_is_not_to_be_told_half_a_false_one()
    {
        Assert.Equal((2 * 20) + 3 + 2.5, Score(trips: 10, caught: 8, @false: 3, unsettled: 5).Cost(s_rules));
    }

    [Fact]
    public void With_few_trips_none_is_chosen_however_good_it_looks()
    {
        SettingChoice choice = SettingChoice.Of([Score(9, 0, 500), Score(9, 9, 0)], s_rules);

        Assert.Equal(new SettingChoice(0, 1, ChoiceReason.TooFewTrips), choice);
    }

    [Fact]
    public void The_cheapest_is_chosen_where_it_differs_by_more_than_chance()
    {
        // 6 trips more of which none was lost: 120 saved, its standard deviation the root of 20 x 20 x 6, which is 49.
        SettingChoice choice = SettingChoice.Of(
            [Score(20, 12, 10), Score(20, 18, 10), Score(20, 12, 12)],
            s_rules
        );

        Assert.Equal(new SettingChoice(1, 1, ChoiceReason.Better), choice);
    }

    [Fact]
    public void What_may_be_chance_is_not_chosen()
    {
        // 3 trips more: 60 saved, within twice the root of 20 x 20 x 3, which is 69.
        SettingChoice choice = SettingChoice.Of([Score(20, 12, 10), Score(20, 15, 10)], s_rules);

        Assert.Equal(new SettingChoice(0, 1, ChoiceReason.MayBeChance), choice);
    }

    [Fact]
    public void What_only_those_speak_for_that_are_not_to_be_told_is_not_chosen()
    {
        SettingChoice choice = SettingChoice.Of([Score(20, 18, 10, 90), Score(20, 18, 9, 10)], s_rules);

        Assert.Equal(new SettingChoice(0, 1, ChoiceReason.MayBeChance), choice);
    }

    [Fact]
    public void The_present_one_stays_where_none_costs_less()
    {
        SettingChoice choice = SettingChoice.Of([Score(20, 18, 10), Score(20, 18, 10)], s_rules);

        Assert.Equal(new SettingChoice(0, 0, ChoiceReason.PresentIsBest), choice);
    }

    [Fact]
    public void Leads_are_of_the_trips_that_were_caught()
    {
        // R 4: quantile(c(10, 20, 30, 40, 50), c(.5, .1)) is 30 and 14 (from memory of type 7).
        SettingScore score = new([10, double.NaN, 20, 30, double.NaN, 40, 50], 0, 0, RunningHours: 50);

        Assert.Equal((5, 7, 30.0, 14.0), (score.Caught, score.Trips, score.MedianLead, score.LowLead));
    }

    private static SettingScore Score(int trips, int caught, int @false, int unsettled = 0) =>
        new(
            [.. Enumerable.Range(0, trips).Select(i => i < caught ? 10 : double.NaN)],
            @false,
            unsettled,
            RunningHours: 100
        );
}
