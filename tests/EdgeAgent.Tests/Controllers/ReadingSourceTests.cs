using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Tests.Controllers.Recorded;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Tests.Controllers;

public sealed class ReadingSourceTests
{
    private static readonly WatchedMachineSettings s_machine = Traces.Machine("tea-1") with
    {
        Signals =
        [
            new SignalSource(Signal.Gap, new TagRequest("Tea1.DancerGap", TagType.Int)),
            new SignalSource(Signal.UnwindSpeed, new TagRequest("Tea1.Speed", TagType.Real), Scale: 0.06),
            new SignalSource(Signal.LineSpeed, new TagRequest("Tea1.Speed", TagType.Real)),
            new SignalSource(
                Signal.BrakeOn,
                new TagRequest("Tea1.Released", TagType.Bool),
                Scale: -1,
                Offset: 1
            ),
            new SignalSource(Signal.Product, new TagRequest("Tea1.Recipe", TagType.String)),
        ],
    };

    private readonly TagSnapshot _snapshot = new(4) { Ticks = 77 };
    private readonly ReadingSource _source = new(s_machine, ReadingSource.TagsOf([s_machine]));

    public ReadingSourceTests()
    {
        double[] numbers = [2048, 200, 1, double.NaN];
        numbers.CopyTo(_snapshot.Numbers, 0);
        _snapshot.Texts[3] = "Earl Grey";
    }

    [Fact]
    public void A_tag_that_two_signals_use_is_read_once() =>
        Assert.Equal(
            ["Tea1.DancerGap", "Tea1.Speed", "Tea1.Released", "Tea1.Recipe"],
            ReadingSource.TagsOf([s_machine, s_machine]).Select(tag => tag.Name)
        );

    [Fact]
    public void Each_signal_is_its_tag_times_scale_plus_offset()
    {
        Reading reading = _source.Read(_snapshot);

        Assert.Equal((77, Quality.Good), (reading.Ticks, reading.Quality));
        Assert.Equal(2048, reading[Signal.Gap]);
        Assert.Equal(12, reading[Signal.UnwindSpeed], 1e-12);
        Assert.Equal(200, reading[Signal.LineSpeed]);
        Assert.Equal(0, reading[Signal.BrakeOn]);
        Assert.Equal(double.NaN, reading[Signal.CycleRate]);
    }

    [Theory]
    [InlineData("", 0x811C9DC5)] // the offset basis itself
    [InlineData("a", 0xE40C292C)] // test vectors of draft-eastlake-fnv, appendix C, 32-bit FNV-1a [memory]
    [InlineData("foobar", 0xBF9CF968)]
    public void A_text_becomes_a_number_that_outlives_restarts(string recipe, uint number)
    {
        _snapshot.Texts[3] = recipe;

        Assert.Equal(number, _source.Read(_snapshot)[Signal.Product]);
    }

    [Theory]
    [InlineData(0, double.NaN, Quality.Bad)]
    [InlineData(1, double.PositiveInfinity, Quality.Bad)]
    [InlineData(2, double.NaN, Quality.Partial)]
    public void What_is_no_finite_number_is_unknown_and_tells_on_the_quality(
        int tag,
        double number,
        Quality quality
    )
    {
        _snapshot.Numbers[tag] = number;

        Reading reading = _source.Read(_snapshot);

        Assert.Equal(quality, reading.Quality);
        Assert.All(Enum.GetValues<Signal>(), signal => Assert.False(double.IsInfinity(reading[signal])));
    }

    [Fact]
    public void A_snapshot_that_failed_is_a_bad_reading_that_keeps_its_time()
    {
        _snapshot.Fail(99, TagStatus.TimedOut);

        Assert.Equal(Traces.Bits(Reading.Failed(99)), Traces.Bits(_source.Read(_snapshot)));
        Assert.Equal((99, Quality.Bad), (_source.Read(_snapshot).Ticks, _source.Read(_snapshot).Quality));
    }

    [Fact]
    public void Reading_allocates_nothing()
    {
        _source.Read(_snapshot);
        long allocated = Allocated.Bytes(_ =>
        {
            for (int i = 0; i < 2_000; i++)
                _source.Read(_snapshot);
        });

        Assert.Equal(0, allocated);
    }
}
