using Dancerwatch.Signals.Forecast;
using FsCheck;
using FsCheck.Xunit;

namespace Dancerwatch.Signals.Tests.Forecast;

public sealed class HeldExtremesTests
{
    [Fact]
    public void A_peak_shorter_than_the_hold_is_not_seen_by_the_trip()
    {
        var held = new HeldExtremes(holdSeconds: 0.5, pollSeconds: 0.02);
        double highest = double.NegativeInfinity;
        for (int i = 0; i < 200; i++)
        {
            held.Add(i * 0.02, i is >= 100 and < 120 ? 110 : 50); // 0.4 s past 105
            if (!double.IsNaN(held.HeldFull))
                highest = Math.Max(highest, held.HeldFull);
        }
        Assert.Equal(50, highest);
    }

    [Fact]
    public void Nothing_is_said_before_a_whole_hold_time_was_seen()
    {
        var held = new HeldExtremes(0.5, 0.02);
        held.Add(0, 50);
        Assert.True(double.IsNaN(held.HeldFull) && double.IsNaN(held.HeldEmpty));
    }

    [Property]
    public bool Streaming_extremes_are_those_of_the_last_hold_time(NormalFloat[] fills, PositiveInt hold)
    {
        int window = hold.Get % 7 + 1;
        var held = new HeldExtremes(window, 1);
        for (int i = 0; i < fills.Length; i++)
        {
            held.Add(i, fills[i].Get);
            if (i < window)
                continue;
            double[] last = [.. fills[(i - window)..(i + 1)].Select(f => f.Get)];
            if (held.HeldFull != last.Min() || held.HeldEmpty != last.Max())
                return false;
        }
        return true;
    }
}
