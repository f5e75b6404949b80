using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Signals.Tests.Fill;

/// <summary>What cannot be used is refused by name, with its value, what is allowed and what to try.</summary>
public sealed class FillRefusalTests
{
    private static readonly FillSettings s_good = new() { GapAtEmpty = 800, GapAtFull = 3600 };

    public static TheoryData<FillSettings, string, string> Unusable() =>
        new()
        {
            { s_good with { GapAtFull = 800 }, "GapAtFull is 800", "10 steps" },
            { s_good with { GapAtFull = 805 }, "GapAtFull is 805", "GapAtEmpty (800)" },
            { s_good with { GapAtEmpty = double.NaN }, "GapAtEmpty is NaN", "finite" },
            { s_good with { GapResolution = 0 }, "GapResolution is 0", "above 0" },
            { s_good with { GapMaximum = -1 }, "GapMaximum is -1", "above GapMinimum (0)" },
            { s_good with { TargetPercent = double.NaN }, "TargetPercent is NaN", "finite" },
            { s_good with { OvertravelPercent = -1 }, "OvertravelPercent is -1", "0 or more" },
            { s_good with { TripHoldSeconds = -0.1 }, "TripHoldSeconds is -0.1", "0 or more" },
            { s_good with { Cam = [(0, 0)] }, "Cam has 1 pair", "at least 2" },
            { s_good with { Cam = [(0, 0), (50, 60), (50, 70)] }, "Cam[2] is (50, 70)", "(50, 60)" },
            { s_good with { Cam = [(0, 0), (50, 60), (60, 60)] }, "Cam[2] is (60, 60)", "(50, 60)" },
            { s_good with { Cam = [(0, 0), (50, 60), (100, 40)] }, "Cam[2] is (100, 40)", "turns back" },
            { s_good with { Cam = [(0, 0), (double.NaN, 60)] }, "Cam[1] is (NaN, 60)", "finite" },
        };

    [Theory, MemberData(nameof(Unusable))]
    public void Settings_that_cannot_be_used_are_refused_by_name(
        FillSettings settings,
        string what,
        string allowed
    )
    {
        ArgumentException refusal = Assert.Throws<ArgumentException>(() => new FillScale(settings));

        Assert.Contains(what, refusal.Message, StringComparison.Ordinal);
        Assert.Contains("Allowed: ", refusal.Message, StringComparison.Ordinal);
        Assert.Contains(allowed, refusal.Message, StringComparison.Ordinal);
    }
}
