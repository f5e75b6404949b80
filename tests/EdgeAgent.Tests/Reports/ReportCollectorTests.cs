using System.Text.Json;
using Dancerwatch.EdgeAgent.Reports;
using Dancerwatch.EdgeAgent.Tests.Watching;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Tests.Reports;

public sealed class ReportCollectorTests
{
    [Fact]
    public void Each_trip_is_told_with_its_side_and_how_long_before_it_was_warned_of()
    {
        ReportFilm film = new();
        for (int i = 0; i < 3; i++)
            film.Trip(levelSeconds: 300);

        MachineReport report = film.Finish()!;

        Assert.Equal(["full", "full", "full"], report.Trips.Select(trip => trip.Side));
        // Fill drifts for a minute; of the first nothing can be known before.
        Assert.InRange(report.Trips[0].LeadSeconds!.Value, 1, 61);
        Assert.All(report.Trips, trip => Assert.InRange(trip.LeadSeconds!.Value, 1, 370));
        Assert.Equal((3, 0), (report.TripRate.Trips, report.TripRate.UnderWay));
        Assert.Equal(3, report.Stops.Count(stop => stop.ByTrip));
        Assert.All(
            report.Trips.Zip(report.Stops),
            pair => Assert.InRange(pair.Second.Time - pair.First.Time, -2_000, 2_000)
        );
    }

    [Fact]
    public void Hours_of_running_and_standing_are_those_of_the_film()
    {
        ReportFilm film = new();
        film.Run(1_200);
        film.Stand(600);
        film.Run(1_200);

        MachineReport report = film.Finish()!;

        Assert.Equal(2_400, 3_600 * report.Hours.Running, 30.0);
        Assert.Equal(600, 3_600 * report.Hours.Standing, 30.0);
        Assert.Single(report.Stops);
        Assert.Equal(600, report.Stops[0].Seconds, 15.0);
        Assert.Equal(report.Hours.Running, report.TripRate.Hours);
        Assert.Equal(double.PositiveInfinity, report.TripRate.Between);
    }

    [Fact]
    public void Readings_before_the_period_warm_up_and_are_not_told()
    {
        ReportFilm film = new(from: 500);
        film.Trip(levelSeconds: 300);
        film.Trip(levelSeconds: 300);

        MachineReport report = film.Finish()!;

        Assert.InRange(report.From - ReportFilm.Start.AddSeconds(500).ToUnixTimeMilliseconds(), 0, 100);
        Assert.Single(report.Trips);
        Assert.NotNull(report.Trips[0].LeadSeconds);
        Assert.All(report.Timeline.Time, time => Assert.InRange(time, report.From, report.To));
        // Warm: the first minute of the period has its band at once.
        Assert.False(double.IsNaN(report.Timeline.P50[0]));
    }

    [Fact]
    public void A_hole_in_the_readings_is_a_hole_in_the_chart_and_in_no_hours()
    {
        ReportFilm film = new();
        film.Run(600);
        film.Skip(3_600);
        film.Run(600);

        MachineReport report = film.Finish()!;

        Assert.Equal(1_200, 3_600 * report.Hours.Running, 30.0);
        Assert.Contains(report.Timeline.P50.Skip(3).SkipLast(3), double.IsNaN);
    }

    [Fact]
    public void A_period_without_a_reading_gives_no_report()
    {
        ReportFilm film = new(from: 10_000);
        film.Run(60);

        Assert.Null(film.Finish());
    }

    [Fact]
    public void A_month_is_told_in_longer_steps_by_the_worst_of_each()
    {
        TimelineBuilder timeline = new();
        MachineAssessor assessor = new(Machines.Settings);
        SignalValues values = SignalValues.Unknown;
        values[Signal.Gap] = 2_050;
        values[Signal.UnwindSpeed] = 12;
        for (int minute = 0; minute < 30 * 1_440; minute++)
        {
            long ticks = minute * TimeSpan.TicksPerMinute;
            timeline.Take(
                assessor.Process(new(ticks, values, Quality.Good)),
                at => at / TimeSpan.TicksPerMillisecond
            );
        }

        Timeline built = timeline.Build();

        Assert.Equal(29, built.StepMinutes);
        Assert.InRange(built.Time.Count, 1_400, 1_500);
        Assert.Equal(built.Time.Order(), built.Time);
    }

    [Fact]
    public void As_JSON_every_number_is_a_number_or_null()
    {
        ReportFilm film = new(change: 300);
        film.Run(600);

        string json = ReportJson.Of(film.Finish(["half a file"])!);

        using JsonDocument document = JsonDocument.Parse(json);
        JsonElement root = document.RootElement;
        Assert.Equal(MachineReport.CurrentFormat, root.GetProperty("format").GetString());
        Assert.Equal(JsonValueKind.Null, root.GetProperty("tripRate").GetProperty("between").ValueKind);
        Assert.Equal("half a file", root.GetProperty("leftOut")[0].GetString());
        Assert.DoesNotContain("NaN", json, StringComparison.Ordinal);
    }
}
