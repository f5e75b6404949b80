using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

public sealed class FilmEdgeTests
{
    private const double Diameter = 0.3;

    /// <summary>No wander, no turn, no leading dancer.</summary>
    private static readonly MachineParameters s_still = new()
    {
        EdgeWanderMillimeters = 0,
        EdgeMillimetersPerTurn = 0,
        EdgeMillimetersPerPercentOfFill = 0,
    };

    [Fact]
    public void The_edge_wanders_by_its_own_amount_however_fast_the_film_is()
    {
        foreach (double moved in new[] { 0.002, 0.02 })
        {
            FilmEdge edge = new(s_still with { EdgeWanderMillimeters = 0.3 }, new Random(1));
            double[] wander = new double[200_000];
            for (int i = 0; i < wander.Length; i++)
            {
                edge.Scan(moved, Diameter, 90);
                wander[i] = edge.Millimeters;
            }
            Assert.Equal(0.3, wander.StandardDeviation(), tolerance: 0.05);
        }
    }

    [Fact]
    public void A_roll_wound_askew_leads_the_edge_once_a_turn()
    {
        FilmEdge edge = new(s_still with { EdgeMillimetersPerTurn = 0.2 }, new Random(1));
        edge.Scan(Math.PI * Diameter / 4, Diameter, 50);
        Assert.Equal(0.2, edge.Millimeters, precision: 9);
        edge.Scan(Math.PI * Diameter / 2, Diameter, 50);
        Assert.Equal(-0.2, edge.Millimeters, precision: 9);
    }

    [Fact]
    public void A_dancer_off_its_target_leads_the_edge_there_within_a_few_spans_of_film()
    {
        FilmEdge edge = new(s_still with { EdgeMillimetersPerPercentOfFill = 0.02 }, new Random(1));
        edge.Scan(0.5, Diameter, 80);
        Assert.Equal(0.6 * (1 - Math.Exp(-1)), edge.Millimeters, precision: 9);
        edge.Scan(10, Diameter, 80);
        Assert.Equal(0.6, edge.Millimeters, precision: 6);
    }

    [Fact]
    public void Film_that_stands_keeps_its_edge_whatever_the_dancer_does()
    {
        FilmEdge edge = new(new MachineParameters { EdgeMillimetersPerPercentOfFill = 0.02 }, new Random(1));
        edge.Scan(1, Diameter, 60);
        double before = edge.Millimeters;
        edge.Scan(0, Diameter, 100);
        Assert.Equal(before, edge.Millimeters);
    }
}
