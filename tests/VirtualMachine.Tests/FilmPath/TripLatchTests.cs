using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

public sealed class TripLatchTests
{
    [Fact]
    public void A_trip_waits_for_its_hold_time_past_its_overtravel()
    {
        TripLatch trip = new(overtravelPercent: 5, holdSeconds: 0.5);
        void Run(double seconds, double fill)
        {
            for (int i = 0; i < seconds * 100; i++)
                trip.Scan(fill, 50, 0.01);
        }

        Run(10, 104.9);
        Run(0.45, 106);
        Run(0.02, 104);
        Run(0.45, 106);
        Assert.False(trip.IsTripped);
        Run(0.1, 106);
        Assert.True(trip.Full);
        Run(10, -50);
        Assert.False(trip.Empty);
        trip.Clear();
        Run(0.6, -5.1);
        Assert.True(trip.Empty);
    }

    [Fact]
    public void The_end_switch_trips_even_where_the_sensor_says_all_is_well()
    {
        TripLatch trip = new(overtravelPercent: 5, holdSeconds: 0.5);
        for (int i = 0; i < 60; i++)
            trip.Scan(fillPercent: 50, dancerPercent: -13, 0.01);

        Assert.True(trip.Empty);
    }
}
