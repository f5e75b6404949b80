using Dancerwatch.Signals.Roll;
using FsCheck.Xunit;

namespace Dancerwatch.Signals.Tests.Roll;

/// <summary>
/// Film on a roll. Values computed with numpy from the plain formulas pi (D^2 - d^2) / (4 t) and v / (pi D), outside this
/// project; common practice, no source.
/// </summary>
public sealed class FilmGeometryTests
{
    [Theory]
    [InlineData(300, 50, 1322.99)]
    [InlineData(400, 60, 2018.79)]
    [InlineData(450, 30, 5150.22)]
    public void A_roll_on_a_76_mm_core_holds_so_much_film(double diameter, double thickness, double meters)
    {
        Assert.Equal(meters, FilmGeometry.LengthMeters(diameter, 76, thickness), 0.005);
    }

    [Theory]
    [InlineData(300, 0.2122)]
    [InlineData(76, 0.8377)]
    public void At_a_fifth_of_a_meter_a_second_it_turns_so_often(double diameter, double turnHz)
    {
        Assert.Equal(turnHz, FilmGeometry.TurnHz(12, diameter), 5e-5);
        Assert.Equal(diameter, FilmGeometry.DiameterAt(12, FilmGeometry.TurnHz(12, diameter)), 1e-9);
    }

    [Property]
    public bool Film_taken_off_and_film_left_make_the_whole_roll(ushort size, byte thickness, ushort share)
    {
        double diameter = 100 + (size % 400);
        double micrometers = 10 + thickness;
        double whole = FilmGeometry.LengthMeters(diameter, 76, micrometers);
        double used = whole * share / ushort.MaxValue;

        double left = FilmGeometry.LengthMeters(
            FilmGeometry.DiameterAfter(diameter, used, micrometers),
            76,
            micrometers
        );
        return Math.Abs(used + left - whole) <= 1e-9 * whole;
    }
}
