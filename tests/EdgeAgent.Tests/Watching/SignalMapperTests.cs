using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Tests.Watching;

public sealed class SignalMapperTests
{
    private static readonly TagRequest s_gap = new("Tea1.DancerGap", TagType.Int);
    private static readonly TagRequest s_speed = new("Tea1.UnwindSpeed", TagType.Real);
    private static readonly TagRequest s_brakeReleased = new("Tea1.BrakeReleased", TagType.Bool);
    private static readonly TagRequest s_product = new("Tea1.ProductName", TagType.String);

    // The snapshot holds the tags in another order than the machine names its signals.
    private static readonly TagRequest[] s_tags = [s_product, s_brakeReleased, s_speed, s_gap];

    private readonly TagSnapshot _snapshot = new(s_tags.Length) { Ticks = 12_345 };
    private readonly SignalMapper _mapper = new(
        Machines.With(
            new SignalSource(Signal.Gap, s_gap),
            new SignalSource(Signal.UnwindSpeed, s_speed, Scale: 0.06),
            new SignalSource(Signal.BrakeOn, s_brakeReleased, Scale: -1, Offset: 1),
            new SignalSource(Signal.Product, s_product)
        ),
        s_tags
    );

    public SignalMapperTests()
    {
        Array.Fill(_snapshot.Statuses, TagStatus.Good);
        _snapshot.Numbers[3] = 2_000;
        _snapshot.Numbers[2] = 300;
        _snapshot.Numbers[1] = 1;
        _snapshot.Numbers[0] = double.NaN;
        _snapshot.Texts[0] = "assam 25 bags";
    }

    [Fact]
    public void Each_signal_is_its_tag_times_scale_plus_offset()
    {
        Reading reading = _mapper.Map(_snapshot);

        Assert.Equal(12_345, reading.Ticks);
        Assert.Equal(Quality.Good, reading.Quality);
        Assert.Equal(2_000, reading[Signal.Gap]);
        Assert.Equal(18, reading[Signal.UnwindSpeed], tolerance: 1e-12);
        Assert.Equal(0, reading[Signal.BrakeOn]);
    }

    [Fact]
    public void A_signal_that_is_not_configured_stays_unknown_and_costs_no_quality()
    {
        Reading reading = _mapper.Map(_snapshot);

        Assert.True(double.IsNaN(reading[Signal.RollDiameter]));
        Assert.Equal(Quality.Good, reading.Quality);
    }

    [Fact]
    public void A_missing_optional_tag_makes_the_reading_partial_and_spoils_nothing_else()
    {
        _snapshot.Statuses[1] = TagStatus.NoSuchTag;

        Reading reading = _mapper.Map(_snapshot);

        Assert.Equal(Quality.Partial, reading.Quality);
        Assert.True(double.IsNaN(reading[Signal.BrakeOn]));
        Assert.Equal(2_000, reading[Signal.Gap]);
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    public void A_gap_that_is_no_finite_number_is_a_failed_reading_with_its_time(double gap)
    {
        _snapshot.Numbers[3] = gap;

        Reading reading = _mapper.Map(_snapshot);

        Assert.Equal(Quality.Bad, reading.Quality);
        Assert.Equal(12_345, reading.Ticks);
        Assert.True(double.IsNaN(reading[Signal.UnwindSpeed]));
    }

    [Fact]
    public void A_stale_number_behind_a_bad_status_is_never_used()
    {
        _snapshot.Statuses[2] = TagStatus.TimedOut;

        Assert.Equal(Quality.Bad, _mapper.Map(_snapshot).Quality);
    }

    [Fact]
    public void A_product_given_as_text_becomes_a_number_that_differs_by_text_and_not_by_instance()
    {
        double first = _mapper.Map(_snapshot)[Signal.Product];
        _snapshot.Texts[0] = string.Concat("assam ", "25 bags");
        double again = _mapper.Map(_snapshot)[Signal.Product];
        _snapshot.Texts[0] = "assam 50 bags";
        double other = _mapper.Map(_snapshot)[Signal.Product];

        Assert.Equal(first, again);
        Assert.NotEqual(first, other);
    }

    [Fact]
    public void A_tag_that_is_not_among_those_read_is_refused_by_name()
    {
        ArgumentException refused = Assert.Throws<ArgumentException>(() =>
            new SignalMapper(Machines.With(new SignalSource(Signal.Gap, s_gap)), [s_speed])
        );

        Assert.Contains("Tea1.DancerGap", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Mapping_allocates_nothing()
    {
        _mapper.Map(_snapshot);
        long before = GC.GetAllocatedBytesForCurrentThread();
        for (int i = 0; i < 10_000; i++)
            _mapper.Map(_snapshot);

        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    [Fact]
    public void A_tag_that_two_machines_use_is_read_once()
    {
        WatchedMachineSettings one = Machines.With(
            new SignalSource(Signal.Gap, s_gap),
            new SignalSource(Signal.LineSpeed, s_speed)
        );
        WatchedMachineSettings two = Machines.With(
            new SignalSource(Signal.Gap, s_product),
            new SignalSource(Signal.LineSpeed, s_speed)
        );

        Assert.Equal([s_gap, s_speed, s_product], TagPlan.Of([one, two]));
    }
}
