using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

public sealed class FilmEdgeTests
{
    [Fact]
    public void The_films_edge_wanders_by_itself_and_with_the_dancer()
    {
        MachineParameters still = new() { EdgeWanderMillimeters = 0.3, EdgeMillimetersPerPercentOfFill = 0 };
        FilmEdge edge = new(still, new Random(1));
        double[] wander = new double[200_000];
        for (int i = 0; i < wander.Length; i++)
        {
            edge.Scan(0.01, 90);
            wander[i] = edge.Millimeters;
        }
        Assert.Equal(0.3, wander.StandardDeviation(), tolerance: 0.05);

        FilmEdge led = new(
            new MachineParameters { EdgeWanderMillimeters = 0, EdgeMillimetersPerPercentOfFill = 0.02 },
            new Random(1)
        );
        led.Scan(0.01, 80);
        Assert.Equal(0.6, led.Millimeters, precision: 9);
    }
}
