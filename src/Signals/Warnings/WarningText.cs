using System.Globalization;
using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Signals.Warnings;

/// <summary>A condition in words: what decided, in numbers with units, then the evidence for the likeliest cause.</summary>
internal static class WarningText
{
    /// <summary>One or two sentences.</summary>
    public static string Evidence(Condition condition, Side side, Assessment a, in CauseSigns s)
    {
        string decided = condition switch
        {
            Condition.LimitApproach => Say(
                "Fill is {0:0} % and reaches the {1} side's trip in {2:0.0} s at its present rate.",
                a.Fill.Percent,
                side.Code(),
                a.Forecast.Side == side ? a.Forecast.SecondsToLimit : double.NaN
            ),
            Condition.TripLikely => Say(
                "The {1} side's trip is passed within 5 min with a probability of {0:0} %.",
                100 * a.Forecast.ProbabilityIn5Minutes,
                side.Code()
            ),
            Condition.MarginLow => Say(
                "The last minute's band came within {0:0.0} % of the {1} side's trip.",
                side == Side.Full ? a.Margin.Full.Percent : a.Margin.Empty.Percent,
                side.Code()
            ),
            Condition.Oscillation when IsOfTurn(a, s) => CauseEvidence.OfTurn(s),
            Condition.Oscillation => Say(
                "Fill swings regularly by {0:0.0} % either way at {1:0.000} Hz.",
                a.Oscillation.AmplitudePercent,
                a.Oscillation.FrequencyHz
            ),
            Condition.OffTarget => Say(
                "The last minute's median fill is {0:0} %, the target {1:0} %.",
                a.OneMinute.P50,
                a.Fill.TargetPercent
            ),
            Condition.DriveLimit => Say(
                "The unwind was at its limit, or fell short of what it was asked for, in {0:0} % of the last half minute.",
                100 * s.StrainShare
            ),
            Condition.RollOverrun => Say("Fill gained {0:0} % after the last stop.", s.OverrunPercent),
            Condition.SensorSuspect => "The gap does not do what film and cycle ask of it.",
            Condition.RollEnding => Say("Film is left for {0:0.0} min.", a.Roll.MinutesLeft),
            Condition.DataLost => "Readings are missing or bad: this machine is not being watched.",
            _ => throw new ArgumentOutOfRangeException(nameof(condition), condition, "not a condition"),
        };
        if (condition == Condition.DataLost)
            return decided;
        // Told as changed while its off-delay runs.
        if (decided.Length == 0)
            decided = "What raised it does not show at this moment.";
        string cause = CauseEvidence.Of(a.Causes.First.Cause, s);
        return cause.Length == 0 || cause == decided ? decided : decided + " " + cause;
    }

    private static bool IsOfTurn(Assessment a, in CauseSigns s)
    {
        ConditionSigns.SwingOf(a.Oscillation, s, out bool isOfTurn);
        return isOfTurn;
    }

    /// <summary>What to look at first, safely.</summary>
    public static string Check(Condition condition, in CauseRanking causes) =>
        condition switch
        {
            Condition.DataLost =>
                "Look at network, controller and tag names; until readings return, watch the dancer from outside the guard.",
            Condition.RollEnding => CauseCheck.Of(Cause.RollEnding),
            Condition.RollOverrun => CauseCheck.Of(Cause.RollOverrun),
            _ => CauseCheck.Of(causes.First.Cause),
        };

    /// <returns>Nothing where a number is none.</returns>
    private static string Say(string format, params ReadOnlySpan<object?> values)
    {
        foreach (object? value in values)
        {
            if (value is double number && !double.IsFinite(number))
                return "";
        }
        return string.Format(CultureInfo.InvariantCulture, format, values);
    }
}
