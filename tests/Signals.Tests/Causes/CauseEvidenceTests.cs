using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.Signals.Tests.Causes;

public sealed class CauseEvidenceTests
{
    private static CauseSigns Swinging(Rhythm rhythm, double hertz) =>
        new()
        {
            Oscillation = OscillationEstimate.Nothing(rhythm) with
            {
                FrequencyHz = hertz,
                AmplitudePercent = 4.6,
            },
            SlowSwingPercent = 64,
            UsualSlowSwingPercent = 7,
        };

    [Fact]
    public void A_loop_that_hunts_is_told_by_its_own_swing_and_never_by_the_machines_cycle()
    {
        Assert.Equal(
            "Fill moves to and fro by 64 % more slowly than the cycle, usually 7 %.",
            CauseEvidence.Of(Cause.LoopHunting, Swinging(Rhythm.MachineCycle, 1.25))
        );
        Assert.StartsWith(
            "Fill swings by 4.6 % either way at 0.080 Hz",
            CauseEvidence.Of(Cause.LoopHunting, Swinging(Rhythm.ControlLoop, 0.08)),
            StringComparison.Ordinal
        );
    }
}
