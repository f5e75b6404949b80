using Dancerwatch.Signals.FilmPath;
using FsCheck;
using FsCheck.Xunit;

namespace Dancerwatch.Signals.Tests.FilmPath;

public sealed class FilmPathTextTests
{
    /// <summary>A healthy machine with all signals but the edge.</summary>
    private static readonly FilmPathEstimate s_calm = FilmPathEstimate.Unknown with
    {
        RunningMinutes = 14,
        NearFullShare = 0,
        NearEmptyShare = 0.002,
        DancerSpeedP99 = 40,
        ReversalsPerMinute = 0,
        MostReversals = 0,
        WidestMinutePercent = 3,
        Stops = 9,
        OverrunStops = 0,
        LargestOverrunPercent = 1.5,
        LastOverrunPercent = 1,
        LastSlackMillimeters = 0,
        LackPercent = 2.1,
        LeastLackPercent = 1.9,
    };

    private static readonly EdgeFinding s_led = new(0.0625, 0.83, 0.17, 0.42, 0.61, 27);
    private static readonly EdgeFinding s_alone = new(0.0625, 0.08, 0.17, 0.81, 0, 27);

    /// <summary>With score and verdict by the rules.</summary>
    private static FilmPathEstimate Judged(in FilmPathEstimate e) => FilmPathSigns.Judge(e);

    [Fact]
    public void A_calm_accumulator_sends_the_engineer_elsewhere_and_says_what_clears_it() =>
        Assert.Equal(
            "Look elsewhere: fill was within 10 % of an end for 0.2 % of 14 min of running, the roll ran on at 0 of 9 stops, the unwind falls short by 0.2 % more than at its best, and the film's edge wanders by 0.81 mm without fill (coherence 0.08 at 0.063 Hz, by chance up to 0.17).",
            Judged(s_calm with { Edge = s_alone }).Told
        );

    [Fact]
    public void Without_an_edge_signal_it_says_that_nothing_is_known_of_the_edge() =>
        Assert.EndsWith("; nothing is known of the film's edge.", Judged(s_calm).Told);

    [Fact]
    public void Two_signals_say_less_and_claim_nothing_of_stops_or_of_what_was_asked() =>
        Assert.Equal(
            "Look elsewhere: fill was within 10 % of an end for 0.2 % of 14 min of running; nothing is known of the film's edge.",
            Judged(
                s_calm with
                {
                    OverrunStops = double.NaN,
                    LargestOverrunPercent = double.NaN,
                    LackPercent = double.NaN,
                }
            ).Told
        );

    [Fact]
    public void A_led_edge_alone_accuses_the_accumulator() =>
        Assert.Equal(
            "Accumulator first: 61 % of the film edge's wander of 0.42 mm goes with fill (coherence 0.83 at 0.063 Hz, by chance up to 0.17).",
            Judged(s_calm with { Edge = s_led }).Told
        );

    [Fact]
    public void Too_little_running_is_told_with_its_minutes() =>
        Assert.Equal(
            "Not enough data: the machine ran for 1.2 of the last 15 min; 3 are needed.",
            Judged(s_calm with { RunningMinutes = 1.2 }).Told
        );

    public static TheoryData<string, FilmPathEstimate> Accusations =>
        new()
        {
            {
                "Accumulator first: fill was within 10 % of empty for 34 % of the last 14 min of running.",
                s_calm with
                {
                    NearEmptyShare = 0.34,
                }
            },
            {
                "Accumulator first: after a stop the roll ran on by 38 % of fill.",
                s_calm with
                {
                    LargestOverrunPercent = 38,
                    OverrunStops = 3,
                }
            },
            {
                "Accumulator first: after a stop the roll ran on by 38 % of fill, and at 3 of 9 stops the roll gave film past full, where nothing holds it taut.",
                s_calm with
                {
                    LargestOverrunPercent = 38,
                    OverrunStops = 3,
                    SlackStops = 3,
                    LastSlackMillimeters = 120,
                }
            },
            {
                "Accumulator first: fill swings by 14.7 % either way at 0.063 Hz beside the cycle, and the dancer suddenly turned round 8 times in a minute, its cycle's swing taken out.",
                s_calm with
                {
                    SwingPercent = 14.7,
                    SwingHz = 0.063,
                    MostReversals = 8,
                    ReversalsPerMinute = 3,
                }
            },
            {
                "Accumulator first: fill, its cycle's swing taken out, went through 56 % within a minute.",
                s_calm with
                {
                    WidestMinutePercent = 56,
                }
            },
            {
                "Accumulator first: the unwind falls short of what it is asked for by 18 % more than at its best.",
                s_calm with
                {
                    LackPercent = 20,
                    LeastLackPercent = 2,
                }
            },
            {
                "Accumulator first: the unwind falls short of what it is asked for by 18 % more than at its best; the film's edge wanders by 0.81 mm without fill (coherence 0.08 at 0.063 Hz, by chance up to 0.17).",
                s_calm with
                {
                    LackPercent = 20,
                    LeastLackPercent = 2,
                    Edge = s_alone,
                }
            },
        };

    [Theory]
    [MemberData(nameof(Accusations))]
    public void An_accusation_says_the_numbers_that_weighed_most(string told, FilmPathEstimate estimate) =>
        Assert.Equal(told, Judged(estimate).Told);

    [Property]
    public void No_sentence_says_a_number_that_is_not_known(int seed)
    {
        Random random = new(seed);
        double Maybe(double most) => random.Next(3) == 0 ? double.NaN : most * random.NextDouble();
        FilmPathEstimate e = new()
        {
            RunningMinutes = 15 * random.NextDouble(),
            NearFullShare = random.NextDouble() / 4,
            NearEmptyShare = random.NextDouble() / 4,
            DancerSpeedP99 = Maybe(100),
            ReversalsPerMinute = Maybe(8),
            MostReversals = Maybe(8),
            WidestMinutePercent = Maybe(60),
            Stops = random.Next(4),
            OverrunStops = Maybe(3),
            SlackStops = 0,
            LargestOverrunPercent = Maybe(20),
            LastOverrunPercent = Maybe(20),
            LastSlackMillimeters = Maybe(20),
            LackPercent = Maybe(20),
            LeastLackPercent = Maybe(3),
            SwingPercent = double.NaN,
            SwingHz = double.NaN,
            Edge =
                random.Next(2) == 0
                    ? EdgeFinding.Unknown
                    : new EdgeFinding(0.1, random.NextDouble(), 0.17, 0.3, random.NextDouble(), 20),
        };
        string told = Judged(e).Told;

        Assert.DoesNotContain("NaN", told, StringComparison.Ordinal);
        Assert.Equal('.', told[^1]);
    }

    [Fact]
    public void More_evidence_never_lowers_the_score()
    {
        FilmPathEstimate[] worse =
        [
            s_calm with
            {
                NearFullShare = 0.1,
            },
            s_calm with
            {
                LargestOverrunPercent = 6,
            },
            s_calm with
            {
                SlackStops = 1,
            },
            s_calm with
            {
                SwingPercent = 5,
            },
            s_calm with
            {
                MostReversals = 3,
            },
            s_calm with
            {
                WidestMinutePercent = 20,
            },
            s_calm with
            {
                LackPercent = 9,
            },
            s_calm with
            {
                Edge = s_led,
            },
        ];
        Assert.All(worse, e => Assert.True(Judged(e).Score > Judged(s_calm).Score));
        Assert.True(Judged(s_calm with { Edge = s_alone }).Score < Judged(s_calm).Score);
    }
}
