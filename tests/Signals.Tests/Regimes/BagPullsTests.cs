using Dancerwatch.Signals.Regimes;

namespace Dancerwatch.Signals.Tests.Regimes;

/// <summary>An unwind that stands, 1.5 m stored, a machine whose bags are 150 mm (10 % of fill), one a second.</summary>
public sealed class BagPullsTests
{
    private const double PollSeconds = 0.02;
    private static readonly UsualPull s_usual = new(150, 1);
    private readonly BagPulls _pulls = new(1500);
    private readonly Random _random = new(4);
    private double _fill = 50;
    private double _noisePercent;

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    public void Bags_in_a_row_are_a_start_once_another_follows(int enough)
    {
        Stand(2, enough);
        for (int i = 0; i < enough; i++)
        {
            Assert.False(Fall(10, 0.5, enough));
            Assert.False(Stand(0.5, enough));
        }

        Assert.True(Fall(4, 0.2, enough));
        Assert.Equal(50, _pulls.StoodPercent, 0.2);
    }

    [Fact]
    public void The_rest_of_a_bag_in_which_the_machine_was_stopped_may_come_first()
    {
        _noisePercent = 0.2;
        Stand(2);
        Fall(3.5, 0.5);
        Stand(0.6);
        Fall(10.4, 0.6);
        Stand(0.4);

        Assert.True(Fall(9.8, 0.5));
        Assert.Equal(50, _pulls.StoodPercent, 0.5);
    }

    [Fact]
    public void A_curved_cam_that_shows_a_bag_a_tenth_longer_hides_nothing()
    {
        Stand(2);
        Fall(10.5, 0.5);
        Stand(0.5);

        Assert.True(Fall(11, 0.5));
    }

    [Fact]
    public void A_dancer_that_rings_after_a_pull_makes_no_second_one()
    {
        Stand(2);
        Fall(10, 0.4);
        Stand(0.1);
        Assert.False(Fall(1, 0.1));
        Fall(-1, 0.1);
        Assert.False(Stand(0.3));

        Assert.True(Fall(10, 0.4));
    }

    [Theory]
    [InlineData(40, 4)] // at 10 % a second, as a roll is turned by hand
    [InlineData(40, 0.5)]
    [InlineData(-40, 4)]
    public void A_dancer_that_is_moved_evenly_is_no_start(double percent, double seconds)
    {
        Stand(2);
        Assert.False(Fall(percent, seconds));
        Assert.False(Stand(5));
    }

    [Fact]
    public void One_move_of_a_bags_length_is_no_start_however_long_one_waits()
    {
        Stand(2);
        Fall(10, 0.5);
        Stand(4);

        Assert.False(Fall(10, 0.5)); // it is the first of another row
        Assert.False(Stand(1));
    }

    [Fact]
    public void A_hand_that_goes_down_and_up_is_no_machine()
    {
        Stand(2);
        for (int i = 0; i < 4; i++)
        {
            Assert.False(Fall(10, 0.5));
            Assert.False(Stand(0.5));
            Assert.False(Fall(-11, 0.5));
            Assert.False(Stand(0.5));
        }
    }

    [Fact]
    public void Arms_that_pull_film_through_are_seldom_taken_for_the_machine()
    {
        // Strokes of 200 to 600 mm, a second or so each, three in a row; one of them may be long as a bag, two seldom are.
        int taken = 0;
        for (int i = 0; i < 400; i++)
        {
            _pulls.Clear();
            _fill = 95;
            Stand(1, 2);
            bool isTaken = false;
            for (int stroke = 0; stroke < 3; stroke++)
            {
                isTaken |= Fall(13 + (27 * _random.NextDouble()), 0.4 + (0.8 * _random.NextDouble()), 2);
                isTaken |= Stand(0.3 + _random.NextDouble(), 2);
            }
            taken += isTaken ? 1 : 0;
        }
        Assert.InRange(taken, 0, 4);
    }

    [Fact]
    public void Noise_alone_is_no_start()
    {
        _noisePercent = 2;
        Assert.False(Stand(600));
    }

    [Fact]
    public void A_machine_whose_bags_are_not_known_is_not_judged()
    {
        bool isCertain = false;
        for (int i = 0; i < 6; i++)
        {
            for (int k = 0; k < 50; k++)
            {
                _pulls.Next(PollSeconds, _fill -= k < 25 ? 0.4 : 0, default, 1);
                isCertain |= _pulls.IsCertain;
            }
        }
        Assert.False(isCertain);
    }

    [Fact]
    public void A_reading_allocates_nothing() => Assert.Equal(0, Allocated.Bytes(_ => Fall(10, 0.5)));

    private bool Stand(double seconds, int enough = 1) => Fall(0, seconds, enough);

    /// <returns>True where it was certain at any reading.</returns>
    private bool Fall(double percent, double seconds, int enough = 1)
    {
        bool isCertain = false;
        int count = (int)Math.Round(seconds / PollSeconds);
        for (int i = 0; i < count; i++)
        {
            _fill -= percent / count;
            double noise = _noisePercent * ((2 * _random.NextDouble()) - 1);
            _pulls.Next(PollSeconds, _fill + noise, s_usual, enough);
            isCertain |= _pulls.IsCertain;
        }
        return isCertain;
    }
}
