using Dancerwatch.Signals.Causes;

namespace Dancerwatch.Signals.Tests.Causes;

public sealed class CauseCheckTests
{
    /// <summary>Where a cause is looked for with hands: at what turns, is under tension, spring or air.</summary>
    private static readonly Cause[] s_byHand =
    [
        Cause.LoopHunting,
        Cause.RollEccentricity,
        Cause.CycleSwing,
        Cause.BrakeDrag,
        Cause.RollOverrun,
        Cause.SensorDrift,
        Cause.SensorNoise,
        Cause.SensorStuck,
        Cause.FilmSnag,
    ];

    public static TheoryData<Cause> Causes => [.. Enum.GetValues<Cause>()];

    [Theory]
    [MemberData(nameof(Causes))]
    public void Every_cause_says_what_to_look_at_and_no_two_say_the_same(Cause cause)
    {
        string check = CauseCheck.Of(cause);

        Assert.EndsWith(cause == Cause.Unknown ? "?" : ".", check, StringComparison.Ordinal);
        Assert.Single(Enum.GetValues<Cause>(), other => CauseCheck.Of(other) == check);
    }

    [Theory]
    [MemberData(nameof(Causes))]
    public void Where_hands_go_near_the_machine_is_locked_out_first(Cause cause)
    {
        if (s_byHand.Contains(cause))
            Assert.Contains("Lock out", CauseCheck.Of(cause), StringComparison.Ordinal);
        else
            Assert.DoesNotContain("hand", CauseCheck.Of(cause), StringComparison.Ordinal);
    }

    [Theory]
    [MemberData(nameof(Causes))]
    public void Nothing_asks_anybody_to_go_past_a_guard(Cause cause)
    {
        foreach (
            string word in new[]
            {
                "bypass",
                "override",
                "open the guard",
                "remove",
                "reach",
                "while it runs",
            }
        )
            Assert.DoesNotContain(word, CauseCheck.Of(cause), StringComparison.OrdinalIgnoreCase);
    }
}
