using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.Signals.Readings;
using static Dancerwatch.EdgeAgent.Discovery.Sense;

namespace Dancerwatch.EdgeAgent.Discovery;

/// <summary>How well a name speaks of a signal.</summary>
internal enum NameFit
{
    None,

    /// <summary>It may be meant, as may something else.</summary>
    Weak,
    Strong,
}

/// <summary>Which words a signal's tag has in its name, and which types.</summary>
internal static class SignalNames
{
    private sealed record Rule(
        Signal Signal,
        Sense[][] Strong,
        Sense[][] Weak,
        Sense[] Never,
        bool IsSwitch = false
    );

    private static readonly Sense[] s_speedNever =
    [
        Trip,
        Full,
        Empty,
        SomeEnd,
        Brake,
        Dancer,
        Pressure,
        Diameter,
        Edge,
        Running,
        Product,
    ];

    private static readonly Rule[] s_rules =
    [
        new(
            Signal.Gap,
            [
                [Dancer, Gap],
                [Dancer, Position],
                [Dancer, Sensor],
            ],
            [
                [Gap],
                [Dancer],
            ],
            [
                Command,
                Full,
                Empty,
                SomeEnd,
                Trip,
                Speed,
                Brake,
                Running,
                Diameter,
                Edge,
                Pressure,
                Product,
                Rate,
                Cycle,
                Applied,
            ]
        ),
        new(
            Signal.UnwindSpeed,
            [
                [Unwind, Speed],
                [Roll, Speed],
            ],
            [
                [Film, Speed],
            ],
            [Command, Line, Cycle, PerMinute, .. s_speedNever]
        ),
        new(
            Signal.UnwindCommand,
            [
                [Unwind, Speed, Command],
                [Roll, Speed, Command],
            ],
            [
                [Unwind, Command],
                [Film, Speed, Command],
            ],
            [Line, Cycle, PerMinute, .. s_speedNever]
        ),
        new(
            Signal.LineSpeed,
            [
                [Line, Speed],
            ],
            [
                [Film, Speed],
            ],
            [Command, Unwind, Roll, Cycle, PerMinute, .. s_speedNever]
        ),
        new(
            Signal.CycleRate,
            [
                [Cycle, Rate],
                [Cycle, Speed],
                [Cycle, PerMinute],
                [Line, PerMinute],
            ],
            [
                [PerMinute],
                [Line, Rate],
            ],
            [Command, Unwind, Roll, .. s_speedNever]
        ),
        new(
            Signal.Running,
            [
                [Running],
            ],
            [],
            [Trip, Brake, Command, Speed, Full, Empty, SomeEnd, Cycle, Dancer, Unwind, Roll, Edge, Released],
            IsSwitch: true
        ),
        new(
            Signal.TargetFill,
            [
                [Dancer, Command],
                [Fill, Command],
            ],
            [
                [Position, Command],
            ],
            [Speed, Full, Empty, SomeEnd, Trip, Diameter, Pressure, Edge, Line, Roll, Brake, Gap, Product]
        ),
        new(
            Signal.GapAtFull,
            [
                [Dancer, Full],
                [Gap, Full],
                [Position, Full],
            ],
            [],
            [Trip, Speed, Roll, Diameter, Running, Brake, Empty, Edge]
        ),
        new(
            Signal.GapAtEmpty,
            [
                [Dancer, Empty],
                [Gap, Empty],
                [Position, Empty],
            ],
            [],
            [Trip, Speed, Roll, Diameter, Running, Brake, Full, Edge]
        ),
        new(
            Signal.FullSideTrip,
            [
                [Full, Trip],
            ],
            [],
            [Empty, Roll, Brake, Speed, Edge],
            IsSwitch: true
        ),
        new(
            Signal.EmptySideTrip,
            [
                [Empty, Trip],
            ],
            [],
            [Full, Roll, Brake, Speed, Edge],
            IsSwitch: true
        ),
        new(
            Signal.BrakeOn,
            [
                [Brake, Applied],
                [Brake, Released],
            ],
            [
                [Brake],
            ],
            [Trip, Pressure, Speed, Full, Empty],
            IsSwitch: true
        ),
        new(
            Signal.BrakePressure,
            [
                [Brake, Pressure],
            ],
            [],
            [Command, Trip, SomeEnd, Full, Empty]
        ),
        new(
            Signal.RollDiameter,
            [
                [Roll, Diameter],
                [Unwind, Diameter],
            ],
            [
                [Diameter],
            ],
            [Command, Full, Empty, SomeEnd, Trip]
        ),
        new(
            Signal.EdgePosition,
            [
                [Edge, Position],
                [Edge, Sensor],
            ],
            [
                [Edge],
            ],
            [Command, Trip, SomeEnd, Full, Empty, Running]
        ),
        new(
            Signal.Product,
            [
                [Product],
            ],
            [],
            [Speed, Trip, Command, Cycle, Rate, PerMinute, Line, Full, Empty, Fill, Film, Position, Sensor]
        ),
    ];

    /// <summary>Signals a name may speak of, each with how well; without regard to types and values.</summary>
    /// <remarks>
    /// The last part of a name says what it is, those before it where: <c>Line1.Unwind.Speed</c> is no line's speed, and a
    /// word with a number behind it is a place, too.
    /// </remarks>
    public static IEnumerable<(Signal Signal, NameFit Fit)> Of(string name, IReadOnlyList<NameWord> words)
    {
        int leaf = name.LastIndexOf('.') + 1;
        int near = leaf == 0 ? 0 : name.LastIndexOf('.', leaf - 2) + 1;
        HashSet<Sense> all = Senses(words);
        if (all.Contains(Beside))
            yield break;
        HashSet<Sense> inLeaf = Senses(words.Where(word => word.Start >= leaf));
        HashSet<Sense> saidInLeaf = Senses(WithoutPlaces(words).Where(word => word.Start >= leaf));
        HashSet<Sense> saidNear = Senses(WithoutPlaces(words).Where(word => word.Start >= near));
        foreach (Rule rule in s_rules)
        {
            bool isWholeInLeaf = rule.Strong.Any(pattern => pattern.All(inLeaf.Contains));
            if (rule.Never.Any((isWholeInLeaf ? saidInLeaf : saidNear).Contains))
                continue;
            bool isStrong = rule.Strong.Any(Speaks);
            if (isStrong && !all.Contains(Derived))
                yield return (rule.Signal, NameFit.Strong);
            else if (isStrong || rule.Weak.Any(Speaks))
                yield return (rule.Signal, NameFit.Weak);
        }

        bool Speaks(Sense[] pattern) => pattern.All(all.Contains) && pattern.Any(inLeaf.Contains);
    }

    private static HashSet<Sense> Senses(IEnumerable<NameWord> words) =>
        [.. words.Where(word => word.Sense is not null).Select(word => word.Sense!.Value)];

    private static IEnumerable<NameWord> WithoutPlaces(IReadOnlyList<NameWord> words) =>
        words.Where(
            (word, i) => !(word.Sense is Line or Unwind or Dancer or Roll or Film && HasNumber(words, i))
        );

    private static bool HasNumber(IReadOnlyList<NameWord> words, int place) =>
        place + 1 < words.Count
        && char.IsAsciiDigit(words[place + 1].Text[0])
        && words[place + 1].Start <= words[place].End + 1;

    /// <summary>Whether a type can be a signal's at all.</summary>
    public static bool Fits(Signal signal, TagType type) =>
        s_rules.First(rule => rule.Signal == signal).IsSwitch ? type == TagType.Bool
        : signal == Signal.Product ? type is not (TagType.Bool or TagType.Real or TagType.Lreal)
        : type is not (TagType.Bool or TagType.String);
}
