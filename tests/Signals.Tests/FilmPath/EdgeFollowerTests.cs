using Dancerwatch.Signals.FilmPath;

namespace Dancerwatch.Signals.Tests.FilmPath;

public sealed class EdgeFollowerTests
{
    private const int PointsAQuarter = (int)(900 / EvenGrid.StepSeconds);

    /// <summary>A quarter of an hour of a fill that wanders, and an edge with a wander of its own that the dancer leads so far.</summary>
    private static EdgeFinding Quarter(int seed, double millimetersPerPercent, bool stops = false)
    {
        Random random = new(seed);
        EdgeFollower edge = new();
        (double fill, double own) = (0, 0);
        double now = 0;
        for (int i = 0; i < PointsAQuarter; i++)
        {
            now = i * EvenGrid.StepSeconds;
            bool stands = stops && now % 75 > 60;
            // At a stop the dancer fills up and returns; film that stands keeps its edge.
            fill = 0.97 * fill + Normal(random) + (stands ? 0.8 : 0);
            own = stands ? own : 0.98 * own + 0.1 * Normal(random);
            edge.Add(now, new GridPoint(50 + fill, own + millimetersPerPercent * fill), !stands);
        }
        return edge.Finding(now, double.NaN, double.NaN);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void An_edge_that_knows_nothing_of_the_dancer_is_called_led_in_less_than_1_of_100_cases(bool stops)
    {
        EdgeFinding[] findings = [.. Enumerable.Range(0, 1_000).Select(seed => Quarter(seed, 0, stops))];

        // The level is for 1 in 100; 1,000 cases give 10 +- 3.
        Assert.InRange(findings.Count(f => f.IsSignificant), 0, 20);
        Assert.InRange(findings.Count(f => f.IsLed), 0, 10);
        Assert.InRange(findings.Average(f => f.LedShare), 0, 0.03);
    }

    [Fact]
    public void An_edge_led_by_the_dancer_is_found_with_the_share_it_is_led_by()
    {
        EdgeFinding[] findings = [.. Enumerable.Range(0, 50).Select(seed => Quarter(seed, 0.1))];

        Assert.All(findings, f => Assert.True(f.IsLed));
        // Between 1/32 and 2 Hz both wander alike, by 1 % a step against 0.1 mm: half of the edge's variance.
        Assert.InRange(findings.Average(f => f.LedShare), 0.42, 0.58);
    }

    [Fact]
    public void By_chance_27_half_overlapping_segments_reach_017_in_1_of_100_cases()
    {
        EdgeFinding finding = Quarter(1, 0);

        Assert.Equal(27, finding.Segments);
        // 1 - 0.01^(1 / (0.95 * 27 - 1)), Carter 1977.
        Assert.Equal(0.1704, finding.ByChance, precision: 4);
    }

    [Fact]
    public void The_wanders_size_is_told_in_millimeters()
    {
        EdgeFollower edge = new();
        double now = 0;
        for (int i = 0; i < PointsAQuarter; i++)
        {
            now = i * EvenGrid.StepSeconds;
            edge.Add(
                now,
                new GridPoint(50 + Math.Sin(now), 7 + 0.3 * Math.Sin(2 * Math.PI * 0.2 * now)),
                isMoving: true
            );
        }
        Assert.Equal(
            0.3 / Math.Sqrt(2),
            edge.Finding(now, double.NaN, double.NaN).WanderMillimeters,
            tolerance: 0.005
        );
    }

    [Fact]
    public void A_roll_that_moves_both_once_a_turn_is_not_the_dancer_leading_the_edge()
    {
        Random random = new(1);
        EdgeFollower edge = new();
        (double now, double own) = (0, 0);
        for (int i = 0; i < PointsAQuarter; i++)
        {
            now = i * EvenGrid.StepSeconds;
            double turn = Math.Sin(2 * Math.PI * 0.21 * now);
            own = 0.98 * own + 0.02 * Normal(random);
            edge.Add(
                now,
                new GridPoint(50 + 2 * turn + 0.3 * Normal(random), own + 0.3 * turn),
                isMoving: true
            );
        }

        Assert.True(edge.Finding(now, double.NaN, turnHz: double.NaN).IsLed);
        Assert.False(edge.Finding(now, double.NaN, turnHz: 0.21).IsLed);
    }

    [Fact]
    public void A_machine_that_stands_says_nothing_of_its_edge()
    {
        EdgeFollower edge = new();
        for (int i = 0; i < PointsAQuarter; i++)
            edge.Add(i * EvenGrid.StepSeconds, new GridPoint(50 + i % 7, i % 7), isMoving: false);

        Assert.False(edge.Finding(900, double.NaN, double.NaN).IsKnown);
    }

    [Fact]
    public void What_is_older_than_a_quarter_of_an_hour_is_forgotten()
    {
        EdgeFollower edge = new();
        for (int i = 0; i < PointsAQuarter; i++)
            edge.Add(i * EvenGrid.StepSeconds, new GridPoint(50 + i % 7, i % 7), isMoving: true);

        Assert.True(edge.Finding(900, double.NaN, double.NaN).IsKnown);
        Assert.False(edge.Finding(1_900, double.NaN, double.NaN).IsKnown);
    }

    [Fact]
    public void Without_an_edge_signal_nothing_is_known()
    {
        EdgeFollower edge = new();
        for (int i = 0; i < PointsAQuarter; i++)
            edge.Add(i * EvenGrid.StepSeconds, new GridPoint(50 + i % 7, double.NaN), isMoving: true);

        Assert.False(edge.Finding(900, double.NaN, double.NaN).IsKnown);
    }

    private static double Normal(Random random) =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
