using System.Globalization;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Recognition;

/// <summary>
/// Whether a few seconds of values can be a certain signal. Ranges are wider than any packaging machine's (common practice,
/// no source): they keep out what is certainly something else, or in another unit.
/// </summary>
public static class SignalLikeness
{
    private const double TwelveBits = 4095;
    private const double SixteenBits = 65_535;
    private const double FastestMetersPerMinute = 1_000;
    private const double FastestCyclesPerMinute = 1_500;
    private const double HighestBar = 20;
    private const double SmallestRollMillimeters = 50;
    private const double LargestRollMillimeters = 2_500;
    private const double WidestEdgeMillimeters = 1_000;

    /// <summary>Two speeds of the same film agree this well over a few seconds: the accumulator takes up what is between them.</summary>
    private const double SpeedsAgree = 0.25;

    /// <summary>A machine that runs draws more than this, m/min.</summary>
    private const double FilmMoves = 0.5;

    /// <summary>What the values tell by themselves.</summary>
    /// <param name="seen">In the signal's unit.</param>
    public static Likeness Of(Signal signal, SeriesTraits seen)
    {
        if (seen.HasNoNumber)
            return Against("holds what is no number");
        if (seen.Count == 0)
            return Silent("was not read");
        return signal switch
        {
            Signal.Gap => Gap(seen),
            Signal.UnwindSpeed or Signal.UnwindCommand or Signal.LineSpeed => Speed(seen),
            Signal.CycleRate => Within(seen, 0, FastestCyclesPerMinute, "cycles a minute", seen.Greatest > 0),
            Signal.TargetFill => Steady(seen, 0, 100, "%"),
            Signal.GapAtFull or Signal.GapAtEmpty => Steady(seen, 0, SixteenBits, "counts"),
            Signal.BrakePressure => Within(seen, -0.1, HighestBar, "bar", seen.Greatest > 0.1),
            Signal.RollDiameter => Within(
                seen,
                SmallestRollMillimeters,
                LargestRollMillimeters,
                "mm",
                supports: true
            ),
            Signal.EdgePosition => Within(
                seen,
                -WidestEdgeMillimeters,
                WidestEdgeMillimeters,
                "mm",
                seen.GoesUpAndDown
            ),
            Signal.Product => seen is { IsWhole: true, Moves: false }
                ? For($"stands at {Number(seen.Mean)}")
                : Against($"{Span(seen)}, and a product stands for a while"),
            _ => seen.Least is 0 or 1 && seen.Greatest is 0 or 1
                ? Silent(seen.Moves ? "went on and off" : $"is {Number(seen.Mean)}")
                : Against($"{Span(seen)}, and a switch is 0 or 1"),
        };
    }

    /// <summary>What they tell beside the unwind's speed.</summary>
    /// <param name="unwind">Speed of the unwind over the same time, m/min.</param>
    /// <returns>Silent where the film stood, or where the signal has nothing to do with it.</returns>
    public static Likeness Beside(Signal signal, SeriesTraits seen, SeriesTraits unwind)
    {
        bool filmMoves = unwind.Count > 0 && unwind.Least > FilmMoves;
        if (!filmMoves || seen.Count == 0)
            return Silent("");
        switch (signal)
        {
            case Signal.UnwindCommand or Signal.LineSpeed:
                return Math.Abs(seen.Mean - unwind.Mean) <= SpeedsAgree * unwind.Mean
                    ? For($"goes with the unwind's speed ({Number(seen.Mean)} beside {Number(unwind.Mean)})")
                    : Against(
                        $"is {Number(seen.Mean)} beside an unwind of {Number(unwind.Mean)} m/min: another film, or another unit"
                    );
            case Signal.Running when seen.Mean == 1:
                return For("is 1 while film moves");
            case Signal.Running when seen.Mean == 0:
                return Against("is 0 while film moves");
            case Signal.FullSideTrip or Signal.EmptySideTrip:
                return seen.Mean == 0
                    ? For("is 0 while film moves")
                    : Against("is 1 while film moves, which a trip would end");
            default:
                return Silent("");
        }
    }

    private static Likeness Gap(SeriesTraits seen)
    {
        if (seen.Least < 0 || seen.Greatest > SixteenBits)
            return Against($"{Span(seen)}, outside any input of 12 or 16 bits");
        if (seen.OnlyRises)
            return Against($"{Span(seen)} and only rises, as a counter does");
        if (!seen.Moves)
            return seen.Mean == 0
                ? Against("is 0 and stands, as no sensor at a dancer does")
                : Silent($"stands at {Number(seen.Mean)}");
        return For(
            seen.Greatest <= TwelveBits
                ? $"{Span(seen)}, within a 12-bit input"
                : $"{Span(seen)}, within a 16-bit input"
        );
    }

    private static Likeness Speed(SeriesTraits seen)
    {
        if (seen.Least < -FilmMoves || seen.Greatest > FastestMetersPerMinute)
            return Against($"{Span(seen)}: no film goes at so many m/min");
        return seen.Greatest > FilmMoves ? For($"{Span(seen)} m/min") : Silent("is 0: nothing moves");
    }

    private static Likeness Within(
        SeriesTraits seen,
        double least,
        double greatest,
        string unit,
        bool supports
    )
    {
        if (seen.Least < least || seen.Greatest > greatest)
            return Against($"{Span(seen)}, outside {Number(least)} to {Number(greatest)} {unit}");
        return supports ? For($"{Span(seen)} {unit}") : Silent($"{Span(seen)} {unit}");
    }

    private static Likeness Steady(SeriesTraits seen, double least, double greatest, string unit)
    {
        if (seen.Least < least || seen.Greatest > greatest)
            return Against($"{Span(seen)}, outside {Number(least)} to {Number(greatest)} {unit}");
        if (seen.Moves)
            return Against($"{Span(seen)}, and a set point stands");
        return seen.Mean == 0 ? Silent($"is 0 {unit}") : For($"stands at {Number(seen.Mean)} {unit}");
    }

    private static string Span(SeriesTraits seen) =>
        seen.Moves
            ? $"went from {Number(seen.Least)} to {Number(seen.Greatest)}"
            : $"stands at {Number(seen.Mean)}";

    private static string Number(double value) => value.ToString("0.##", CultureInfo.InvariantCulture);

    private static Likeness For(string reason) => new(Verdict.For, reason);

    private static Likeness Silent(string reason) => new(Verdict.Silent, reason);

    private static Likeness Against(string reason) => new(Verdict.Against, reason);
}
