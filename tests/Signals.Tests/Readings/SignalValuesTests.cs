using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Tests.Readings;

public sealed class SignalValuesTests
{
    [Fact]
    public void A_failed_read_keeps_its_time_and_claims_no_value()
    {
        Reading failed = Reading.Failed(123);

        Assert.Equal(123, failed.Ticks);
        Assert.Equal(Quality.Bad, failed.Quality);
        Assert.All(Enum.GetValues<Signal>(), signal => Assert.True(double.IsNaN(failed[signal])));
    }

    [Fact]
    public void Every_signal_has_a_place_of_its_own()
    {
        SignalValues values = SignalValues.Unknown;
        foreach (Signal signal in Enum.GetValues<Signal>())
            values[signal] = (int)signal;

        Assert.Equal(SignalValues.Count, Enum.GetValues<Signal>().Length);
        Assert.All(Enum.GetValues<Signal>(), signal => Assert.Equal((int)signal, values[signal]));
    }
}
