using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.Signals.Tests.Causes;

/// <summary>Signs of a machine that nothing is wrong with, to be changed one by one.</summary>
internal static class HealthySigns
{
    public static CauseSigns All { get; } =
        new()
        {
            Oscillation = OscillationEstimate.Nothing(Rhythm.None),
            SwingPercent = 6,
            UsualSwingPercent = 6,
            SinceTripSeconds = double.PositiveInfinity,
            RoughnessPercent = 0.1,
            UsualRoughnessPercent = 0.1,
            ResolutionPercent = 0.03,
            StillSeconds = 0.1,
            UsualStillSeconds = 0.3,
            LackPercent = 0.5,
            UsualLackPercent = 0.5,
            QuickLackPercent = 0.5,
            OverrunPercent = 5,
            UsualOverrunPercent = 5,
            SlowSwingPercent = 2,
            UsualSlowSwingPercent = 2,
            SlowSwingUnwindShare = 0.8,
            TurnPercent = 0.5,
            UsualTurnPercent = 0.5,
            StillShare = 0.02,
            UsualStillShare = 0.02,
            UnwindMetersPerMinute = 12,
            BrakeBar = double.NaN,
            UsualBrakeBar = double.NaN,
            TargetPercent = 50,
            UsualTargetPercent = 50,
            MinutesLeft = 60,
            DiameterMillimeters = 250,
            CoreDiameterMillimeters = 76,
            FallPercentPerSecond = 1,
            UsualFallPercentPerSecond = 3,
        };

    /// <summary>A regular movement of 8 % either way.</summary>
    public static OscillationEstimate Swinging(Rhythm rhythm, double hertz) =>
        OscillationEstimate.Nothing(rhythm) with
        {
            FrequencyHz = hertz,
            AmplitudePercent = 8,
            GrowthPerSecond = 0.004,
        };

    /// <summary>Signs as they come, some of them unknown or absurd.</summary>
    public static CauseSigns Random(int seed)
    {
        var random = new Random(seed);
        return new CauseSigns
        {
            Oscillation = OscillationEstimate.Nothing(Any<Rhythm>()) with
            {
                FrequencyHz = Number(1),
                AmplitudePercent = Number(20),
                GrowthPerSecond = Number(0.02),
                Multiple = random.Next(4),
            },
            MayBeTurn = random.Next(2) == 0,
            SwingPercent = Number(20),
            UsualSwingPercent = Number(20),
            TrippedBy = Any<Cause>(),
            SinceTripSeconds = Math.Abs(Number(900)),
            RoughnessPercent = Number(1),
            UsualRoughnessPercent = Number(1),
            ResolutionPercent = Number(0.1),
            StillSeconds = Number(3),
            UsualStillSeconds = Number(1),
            LackPercent = Number(20),
            UsualLackPercent = Number(20),
            CeilingShare = Number(1),
            StrainShare = Number(1),
            UnwindDropPercent = Number(60),
            UnwindMetersPerMinute = Number(20),
            BrakeShare = Number(1),
            OverrunPercent = Number(30),
            UsualOverrunPercent = Number(30),
            FillAfterStopPercent = Number(120),
            ContradictionPercent = Number(20),
            LostSharePercent = Number(20),
            SlowSwingPercent = Number(40),
            UsualSlowSwingPercent = Number(40),
            SlowSwingUnwindShare = Number(1.2),
            QuickLackPercent = Number(60),
            WrongWayShare = Number(1),
            RecentCatches = Number(4),
            TurnPercent = Number(20),
            UsualTurnPercent = Number(20),
            SurplusPercent = Number(30),
            UsualSurplusPercent = Number(30),
            UnwindFallPercentPerSecond = Number(800),
            UsualUnwindFallPercentPerSecond = Number(800),
            StillShare = Number(1),
            UsualStillShare = Number(1),
            BrakeBar = Number(6),
            UsualBrakeBar = Number(6),
            SetPointOffsetPercent = Number(10),
            OffTargetPercent = Number(40),
            UsualOffTargetPercent = Number(40),
            TargetPercent = Number(100),
            UsualTargetPercent = Number(100),
            SetPointShiftPercent = Number(20),
            MinutesLeft = Number(60),
            DiameterMillimeters = Number(300),
            CoreDiameterMillimeters = 76,
            FallPercentPerSecond = Number(50),
            UsualFallPercentPerSecond = Number(10),
        };

        double Number(double largest) =>
            random.Next(12) switch
            {
                0 => double.NaN,
                1 => 0,
                2 => double.PositiveInfinity,
                3 => double.NegativeInfinity,
                4 => 1e300,
                5 => -largest * random.NextDouble(),
                _ => largest * random.NextDouble(),
            };

        T Any<T>()
            where T : struct, Enum => Enum.GetValues<T>()[random.Next(Enum.GetValues<T>().Length)];
    }
}
