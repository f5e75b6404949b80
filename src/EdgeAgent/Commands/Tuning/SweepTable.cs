using System.Globalization;
using Dancerwatch.Signals.Tuning;

namespace Dancerwatch.EdgeAgent.Commands.Tuning;

/// <summary>What a sweep found, as a table, and in words which setting to choose and why.</summary>
internal static class SweepTable
{
    public static void Write(
        TextWriter output,
        IReadOnlyList<Candidate> candidates,
        IReadOnlyList<SettingScore> scores,
        int underWay,
        TuningRules rules
    )
    {
        int width = Math.Max(9, candidates.Max(candidate => candidate.Name.Length));
        SettingScore present = scores[0];
        output.WriteLine(
            Text(
                $"{present.RunningHours:F1} hours of running, {present.Trips} trips that could be warned of, {underWay} under way at a start."
            )
        );
        output.WriteLine();
        output.WriteLine(
            $"{"".PadRight(width)}    trips caught   lead of those: half, nine in ten      in 100 h: false   not to be told      cost"
        );
        for (int i = 0; i < scores.Count; i++)
            output.WriteLine(Row(candidates[i].Name.PadRight(width), scores[i], rules));
        output.WriteLine();
        output.WriteLine(Explain(candidates, scores, SettingChoice.Of(scores, rules), rules));
    }

    private static string Row(string name, SettingScore score, TuningRules rules) =>
        Text(
            $"{name}   {score.Caught, 5} of {score.Trips, -5}   {Seconds(score.MedianLead), 12} {Seconds(score.LowLead), 16}   {Rate(score.FalsePer100Hours), 18} {Rate(score.UnsettledPer100Hours), 16}  {score.Cost(rules), 8:F1}"
        );

    private static string Explain(
        IReadOnlyList<Candidate> candidates,
        IReadOnlyList<SettingScore> scores,
        SettingChoice choice,
        TuningRules rules
    )
    {
        SettingScore present = scores[0];
        SettingScore cheapest = scores[choice.Cheapest];
        string name = candidates[choice.Cheapest].Name;
        string scale = Text(
            $"A missed trip is taken to be as bad as {rules.FalseWarningsPerMissedTrip} false warnings, and one that is not to be told as half of one."
        );
        return choice.Reason switch
        {
            ChoiceReason.TooFewTrips => Text(
                $"Choose: present. History holds {present.Trips} trips, too few to choose by: it takes {rules.FewestTrips}. Record longer, or of more machines."
            ),
            ChoiceReason.PresentIsBest => $"Choose: present. None of the others costs less. {scale}",
            ChoiceReason.MayBeChance => Text(
                $"Choose: present. {name} would have cost {cheapest.Cost(rules):F1} where the present one cost {present.Cost(rules):F1}, but in trips and false warnings it differs by no more than chance may do. {scale}"
            ),
            _ => Text(
                $"Choose: {name}. It would have cost {cheapest.Cost(rules):F1} where the present one cost {present.Cost(rules):F1}, more than chance makes of it: {cheapest.Caught} trips caught for {present.Caught}, {cheapest.False} false warnings for {present.False}. {scale}"
            ),
        };
    }

    private static string Seconds(double seconds) => double.IsNaN(seconds) ? "-" : Text($"{seconds:F1} s");

    private static string Rate(double rate) => double.IsNaN(rate) ? "-" : Text($"{rate:F1}");

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
