using Dancerwatch.Signals.Forecast;

namespace Dancerwatch.Signals.Tests.Forecast;

/// <summary>1.5 m stored; 60 bags of 200 mm a minute are 12 m/min.</summary>
public sealed class UsualFilmTests
{
    private readonly UsualFilm _usual = new(1500);

    [Theory]
    [InlineData(60, 1, 200, 1)]
    [InlineData(120, 1, 100, 0.5)] // two cycles a block
    public void Draw_and_bag_are_what_the_unwind_gives(
        double cycles,
        double seconds,
        double bag,
        double cycle
    )
    {
        for (int i = 0; i < 30; i++)
            _usual.Learn(Block(12, 0, seconds), cycles);

        Assert.Equal(12, _usual.DrawMetersPerMinute, 6);
        Assert.Equal(bag, _usual.Pull.Millimeters, 6);
        Assert.Equal(cycle, _usual.Pull.Seconds, 6);
    }

    [Fact]
    public void An_unwind_that_is_held_while_the_dancer_gives_the_film_makes_no_smaller_bag()
    {
        for (int i = 0; i < 30; i++)
            _usual.Learn(Block(12, 0, 1), 60);
        for (int i = 0; i < 10; i++)
            _usual.Learn(Block(6, -100.0 / 15, 1), 60); // 100 of 200 mm come from the dancer

        Assert.Equal(200, _usual.Pull.Millimeters, 6);
        Assert.Equal(12, _usual.DrawMetersPerMinute, 6);
    }

    [Fact]
    public void Without_a_cycle_rate_the_draw_is_known_and_the_bag_is_not()
    {
        _usual.Learn(Block(12, 0, 2), double.NaN);

        Assert.Equal(12, _usual.DrawMetersPerMinute, 6);
        Assert.True(double.IsNaN(_usual.Pull.Millimeters));
    }

    [Fact]
    public void Another_product_has_another_bag()
    {
        _usual.Learn(Block(12, 0, 1), 60);
        _usual.Forget();

        Assert.True(double.IsNaN(_usual.Pull.Millimeters));
        _usual.Learn(Block(12, 0, 1), 120);
        Assert.Equal(100, _usual.Pull.Millimeters, 6);
    }

    private static FilmBlock Block(double unwind, double change, double seconds) =>
        default(FilmBlock) with
        {
            MeanUnwind = unwind,
            FillChange = change,
            DurationSeconds = seconds,
        };
}
