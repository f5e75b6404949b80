using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.Signals.Survey.Results;

/// <summary>
/// Finds where the brake bears: by its air pressure, else by its switch, over the travel, else over a start with the dancer
/// at full. Without either, an unwind that stands although it is asked to turn tells the side, and no fill: drives get going
/// too slowly, and controllers ask for too little near full, to say where.
/// </summary>
internal static class BrakeSearch
{
    // Of its highest pressure: below it holds next to nothing.
    private const double PressureShare = 0.3;

    /// <summary>Less is no air, bar.</summary>
    private const double LeastPressure = 0.5;

    /// <summary>Block, polls and the air's lag together: how late a change is seen, s.</summary>
    private const double LateSeconds = 0.2;

    /// <summary>The unwind is held below this share of what it is asked for, and asked for anything from this share of the most on.</summary>
    private const double HeldShare = 0.15;
    private const double AskedShare = 0.05;

    /// <summary>A drive that is free has got going after so long, s: common practice, no source.</summary>
    private const double LongestStartSeconds = 1.5;

    private const int FewestBlocks = 10;

    private const double ShortestTripSeconds = 0.5;

    public static BrakeFinding Of(SurveyMeasures measures, Func<double, double> fillOf)
    {
        IReadOnlyList<Block> up = measures.Travel?.Up ?? [];
        IReadOnlyList<Block> down = measures.Travel?.Down ?? [];
        IReadOnlyList<Block> start = measures.FromFull?.Blocks ?? [];
        if (Pressure([.. up, .. down]) is { } travelled)
            return Told(BrakeSource.Pressure, up, down, travelled, fillOf);
        if (HasSwitch(up) && HasSwitch(down))
            return Told(BrakeSource.Switch, up, down, static block => block.BrakeOn > 0.5, fillOf);
        if (Pressure(start) is { } started)
            return Told(BrakeSource.Pressure, [], start, started, fillOf);
        if (HasSwitch(start))
            return Told(BrakeSource.Switch, [], start, static block => block.BrakeOn > 0.5, fillOf);
        return Inferred(measures.FromFull, measures.FromEmpty);
    }

    private static bool HasSwitch(IReadOnlyList<Block> blocks) =>
        blocks.Any(block => double.IsFinite(block.BrakeOn));

    private static Func<Block, bool>? Pressure(IReadOnlyList<Block> blocks)
    {
        double highest = blocks
            .Select(block => block.BrakePressure)
            .Where(double.IsFinite)
            .DefaultIfEmpty(double.NaN)
            .Max();
        return highest >= LeastPressure ? block => block.BrakePressure > PressureShare * highest : null;
    }

    private static BrakeFinding Told(
        BrakeSource source,
        IReadOnlyList<Block> up,
        IReadOnlyList<Block> down,
        Func<Block, bool> isOn,
        Func<double, double> fillOf
    )
    {
        (BrakeSide sideUp, Uncertain fillUp) = Threshold(up, isOn, fillOf);
        (BrakeSide sideDown, Uncertain fillDown) = Threshold(down, isOn, fillOf);
        BrakeSide side = sideUp == BrakeSide.Unknown ? sideDown : sideUp;
        return side == BrakeSide.Empty
            ? new(source, side, fillDown, fillUp)
            : new(source, side, fillUp, fillDown);
    }

    private static BrakeFinding Inferred(Start? fromFull, Start? fromEmpty)
    {
        BrakeSide side =
            StoodThoughAsked(fromEmpty) ? BrakeSide.Empty
            : StoodThoughAsked(fromFull) ? BrakeSide.Full
            : BrakeSide.Unknown;
        return side == BrakeSide.Unknown
            ? BrakeFinding.Unknown
            : new(BrakeSource.Unwind, side, Uncertain.Unknown, Uncertain.Unknown);
    }

    // For longer than any drive takes to get going; or until the machine tripped.
    private static bool StoodThoughAsked(Start? start)
    {
        Block[] asked = [.. Asked(start?.Blocks ?? [])];
        double seconds = asked.Count(IsHeld) * Block.Length;
        return seconds > LongestStartSeconds
            || (start?.Tripped == true && seconds > ShortestTripSeconds && asked.All(IsHeld));
    }

    private static bool IsHeld(Block block) => block.UnwindSpeed < HeldShare * block.UnwindCommand;

    private static IEnumerable<Block> Asked(IReadOnlyList<Block> blocks)
    {
        double most = blocks.Select(block => block.UnwindCommand).DefaultIfEmpty(double.NaN).Max();
        return blocks.Where(block => block.UnwindCommand > AskedShare * most);
    }

    /// <summary>The fill that parts on from off with the fewest blocks on the wrong side of it, on above it or on below it.</summary>
    private static (BrakeSide Side, Uncertain Fill) Threshold(
        IReadOnlyList<Block> blocks,
        Func<Block, bool> isOn,
        Func<double, double> fillOf
    )
    {
        (double Fill, bool On)[] sorted =
        [
            .. blocks
                .Select(block => (Fill: fillOf(block.Gap), On: isOn(block)))
                .Where(one => double.IsFinite(one.Fill))
                .OrderBy(one => one.Fill),
        ];
        if (sorted.Length < FewestBlocks)
            return (BrakeSide.Unknown, Uncertain.Unknown);
        int on = sorted.Count(one => one.On);
        if (on == 0)
            return (BrakeSide.Neither, Uncertain.Unknown);
        if (on == sorted.Length)
            return (BrakeSide.Both, Uncertain.Unknown);
        int fewest = int.MaxValue;
        double threshold = double.NaN;
        BrakeSide side = BrakeSide.Unknown;
        int onBelow = 0;
        for (int below = 1; below < sorted.Length; below++)
        {
            onBelow += sorted[below - 1].On ? 1 : 0;
            // On above: those on below it and those off above it are wrong; on below: all the others.
            int wrong = onBelow + (sorted.Length - below - (on - onBelow));
            int least = Math.Min(wrong, sorted.Length - wrong);
            if (least >= fewest)
                continue;
            fewest = least;
            threshold = (sorted[below - 1].Fill + sorted[below].Fill) / 2;
            side = wrong == least ? BrakeSide.Full : BrakeSide.Empty;
        }
        double seconds = blocks[^1].Seconds - blocks[0].Seconds;
        double late = LateSeconds * (sorted[^1].Fill - sorted[0].Fill) / Math.Max(seconds, Block.Length);
        return fewest > sorted.Length / 10
            ? (BrakeSide.Unknown, Uncertain.Unknown)
            : (side, new Uncertain(threshold, late));
    }
}
