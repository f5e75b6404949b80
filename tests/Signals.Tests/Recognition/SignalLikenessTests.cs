using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Recognition;

namespace Dancerwatch.Signals.Tests.Recognition;

public sealed class SignalLikenessTests
{
    private static readonly SeriesTraits s_unwind = SeriesTraits.Of([18, 18.5, 17.5]);

    [Fact]
    public void Traits_tell_range_mean_ways_and_what_is_no_number()
    {
        SeriesTraits seen = SeriesTraits.Of([3, 5, double.NaN, 4, 4]);

        Assert.Equal(
            new SeriesTraits(4, 3, 5, 4, Rises: 1, Falls: 1, IsWhole: true, HasNoNumber: true),
            seen
        );
        Assert.False(SeriesTraits.Of([0.5]).IsWhole);
        Assert.Equal(0, SeriesTraits.Of([]).Count);
        Assert.True(double.IsNaN(SeriesTraits.Of([double.PositiveInfinity]).Mean));
    }

    [Theory]
    [InlineData(Signal.Gap, new double[] { 1900, 2100, 1950 }, Verdict.For)]
    [InlineData(Signal.Gap, new double[] { 20_000, 21_000 }, Verdict.For)]
    [InlineData(Signal.Gap, new double[] { 1900, 1900 }, Verdict.Silent)]
    [InlineData(Signal.Gap, new double[] { 0, 0 }, Verdict.Against)]
    [InlineData(Signal.Gap, new double[] { -5, 100 }, Verdict.Against)]
    [InlineData(Signal.Gap, new double[] { 1, 2, 3, 4, 5, 6, 7 }, Verdict.Against)]
    [InlineData(Signal.Gap, new[] { 1900, double.NaN }, Verdict.Against)]
    [InlineData(Signal.UnwindSpeed, new[] { 13.1, 14.2 }, Verdict.For)]
    // A machine that starts: speeds and rates only rise for a while.
    [InlineData(Signal.LineSpeed, new double[] { 2, 4, 6, 8, 10, 12, 13, 13 }, Verdict.For)]
    [InlineData(Signal.CycleRate, new double[] { 10, 20, 30, 40, 50, 60 }, Verdict.For)]
    [InlineData(Signal.UnwindSpeed, new double[] { 0, 0 }, Verdict.Silent)]
    [InlineData(Signal.UnwindSpeed, new double[] { 16_384, 16_390 }, Verdict.Against)]
    [InlineData(Signal.UnwindSpeed, new double[] { -20, -21 }, Verdict.Against)]
    [InlineData(Signal.TargetFill, new double[] { 50, 50 }, Verdict.For)]
    [InlineData(Signal.TargetFill, new double[] { 50, 51 }, Verdict.Against)]
    [InlineData(Signal.TargetFill, new double[] { 2050, 2050 }, Verdict.Against)]
    [InlineData(Signal.GapAtFull, new double[] { 3500 }, Verdict.For)]
    [InlineData(Signal.BrakePressure, new[] { 1.2, 1.3 }, Verdict.For)]
    [InlineData(Signal.BrakePressure, new double[] { 120 }, Verdict.Against)]
    [InlineData(Signal.RollDiameter, new[] { 359.9 }, Verdict.For)]
    [InlineData(Signal.RollDiameter, new[] { 0.36 }, Verdict.Against)]
    [InlineData(Signal.Running, new double[] { 1, 1 }, Verdict.Silent)]
    [InlineData(Signal.Running, new double[] { 2, 1 }, Verdict.Against)]
    [InlineData(Signal.Product, new double[] { 7, 7 }, Verdict.For)]
    [InlineData(Signal.Product, new double[] { 7, 8 }, Verdict.Against)]
    public void Values_speak_for_a_signal_against_it_or_not_at_all(
        Signal signal,
        double[] values,
        Verdict verdict
    )
    {
        Likeness likeness = SignalLikeness.Of(signal, SeriesTraits.Of(values));

        Assert.Equal(verdict, likeness.Verdict);
        Assert.NotEmpty(likeness.Reason);
    }

    [Theory]
    [InlineData(Signal.LineSpeed, 17.4, Verdict.For)]
    [InlineData(Signal.LineSpeed, 300, Verdict.Against)]
    [InlineData(Signal.UnwindCommand, 18.2, Verdict.For)]
    [InlineData(Signal.Running, 1, Verdict.For)]
    [InlineData(Signal.Running, 0, Verdict.Against)]
    [InlineData(Signal.FullSideTrip, 0, Verdict.For)]
    [InlineData(Signal.EmptySideTrip, 1, Verdict.Against)]
    [InlineData(Signal.RollDiameter, 300, Verdict.Silent)]
    public void Beside_an_unwind_that_moves_some_values_tell_more(
        Signal signal,
        double value,
        Verdict verdict
    ) => Assert.Equal(verdict, SignalLikeness.Beside(signal, SeriesTraits.Of([value]), s_unwind).Verdict);

    [Fact]
    public void Beside_an_unwind_that_stands_nothing_is_told() =>
        Assert.Equal(
            Verdict.Silent,
            SignalLikeness.Beside(Signal.LineSpeed, SeriesTraits.Of([17]), SeriesTraits.Of([0, 0])).Verdict
        );
}
