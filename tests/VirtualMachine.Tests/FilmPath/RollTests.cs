using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

public sealed class RollTests
{
    // Length on a roll, pi (D^2 - d^2) / (4 t), computed with numpy from the textbook formula.
    [Theory]
    [InlineData(300, 50, 1322.99)]
    [InlineData(400, 60, 2018.79)]
    [InlineData(450, 30, 5150.22)]
    public void Film_on_a_roll_is_its_area_over_its_thickness(
        double diameter,
        double thickness,
        double meters
    )
    {
        Roll roll = new(diameter, 76, thickness, 400, 920);

        Assert.Equal(meters, roll.LengthMeters, tolerance: 0.005);
    }

    // Solid roll, pi rho w (D^4 - d^4) / 32, D 0.3, d 0.076, w 0.4 m, rho 920: computed with numpy.
    [Fact]
    public void A_roll_turns_as_heavy_as_a_hollow_cylinder_of_film()
    {
        Roll roll = new(300, 76, 50, 400, 920);

        Assert.Equal(0.2914, roll.FilmInertiaKilogramSquareMeters, tolerance: 0.00005);
        Assert.Equal(24.34, roll.MassKilograms, tolerance: 0.005);
    }

    [Fact]
    public void One_turn_of_a_centred_roll_gives_its_circumference()
    {
        Roll roll = new(300, 76, 50, 400, 920);
        double given = 0;
        for (int i = 0; i < 1000; i++)
            given += roll.Turn(2 * Math.PI / 1000, 0);

        // Less what the shrinking radius takes: half a layer of film all round.
        Assert.Equal((Math.PI * 0.3) - (Math.PI * 50e-6), given, tolerance: 1e-6);
    }

    [Fact]
    public void A_roll_gives_no_more_than_there_is_on_it()
    {
        Roll roll = new(300, 76, 50, 400, 920);
        roll.SetLength(0.1);

        Assert.Equal(0.1, roll.Turn(10, 0), precision: 9);
        Assert.True(roll.IsEmpty);
        Assert.Equal(0, roll.Turn(10, 0));
    }

    [Fact]
    public void An_eccentric_roll_gives_more_over_half_a_turn_and_less_over_the_other()
    {
        Roll roll = new(300, 76, 50, 400, 920);
        double[] halves = new double[2];
        for (int i = 0; i < 1000; i++)
            halves[i / 500] += roll.Turn(2 * Math.PI / 1000, 0.010);

        // The integral of e sin over half a turn is 2 e; from one half to the other the difference is 4 e.
        Assert.Equal(0.040, halves[0] - halves[1], tolerance: 0.0005);
    }
}
