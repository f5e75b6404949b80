namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// Draws machines as the trade has them (common practice, no source): rolls 250 to 450 mm on a 76 mm core, film 30 to
/// 90 um, 30 to 120 cycles a minute, bags 80 to 400 mm, 0.5 to 2.5 m of storage, target 40 to 60 %. Drawn healthy: the
/// storage suits the bag, the loop is well damped, the drive has speed and torque to spare.
/// </summary>
internal static class TradeRanges
{
    // A bag must not move the dancer further than this, or the machine would have been built with more storage.
    private const double LargestSwingPercent = 30;
    private const double Core = 76;

    /// <summary>The same seed gives the same machine.</summary>
    public static MachineParameters Draw(int seed)
    {
        Random random = new(seed);
        double Between(double low, double high) => low + (random.NextDouble() * (high - low));
        bool Coin() => random.Next(2) == 0;

        double cycles = Between(30, 120);
        double bag = Between(80, 400);
        double drawShare = Between(0.35, 0.65);
        double leastStorage = bag * (1 - drawShare) * 100 / LargestSwingPercent;
        double line = cycles * bag / 1000;
        double diameter = Between(250, 450);
        bool isProportional = Coin();
        double gain = Between(0.15, 0.4);
        (double atEmpty, double atFull) = (Between(300, 900), Between(3000, 3800));
        bool gapShrinksWithFill = Coin();
        double width = Between(200, 500);
        double thickness = Between(30, 90);
        double density = Between(900, 1150);
        Roll roll = new(diameter, Core, thickness, width, density);
        double slew = Math.Max(6, line) * Between(0.8, 1.5);
        double startTorque = roll.InertiaKilogramSquareMeters * (slew / 60) / (roll.DiameterMeters / 2);

        return new MachineParameters
        {
            RollDiameterMillimeters = diameter,
            CoreDiameterMillimeters = Core,
            FilmThicknessMicrometers = thickness,
            FilmWidthMillimeters = width,
            FilmDensityKilogramsPerCubicMeter = density,
            EccentricityMillimeters = Between(0, 1),
            CyclesPerMinute = cycles,
            BagLengthMillimeters = bag,
            DrawShare = drawShare,
            StorageMillimeters = Between(Math.Max(500, leastStorage), 2500),
            DancerNaturalHertz = Between(3, 6),
            DancerDampingRatio = Between(0.5, 0.9),
            TargetFillPercent = Between(40, 60),
            ProportionalGainPerSecond = gain,
            ResetSeconds = isProportional ? double.PositiveInfinity : Between(6, 12) / gain,
            MaximumUnwindMetersPerMinute = line * Between(1.5, 2.2),
            UnwindSlewMetersPerMinutePerSecond = slew,
            DriveLagSeconds = Between(0.1, 0.3),
            DriveTorqueNewtonMeters = Between(3, 5) * (startTorque + 1),
            DriveSlipPercent = Between(3, 8),
            DriveCalibration = Between(0.98, 1.02),
            BearingDragNewtonMeters = Between(0.05, 0.2),
            SpeedSource = Coin() ? SpeedSource.Roller : SpeedSource.Spindle,
            SpeedCalibration = Between(0.99, 1.01),
            Brake = Coin() ? BrakeKind.SpringLinked : BrakeKind.Air,
            BrakeTorqueNewtonMeters = Between(15, 30),
            BrakeFromPercent = Between(85, 92),
            GapAtEmptyCounts = gapShrinksWithFill ? atFull : atEmpty,
            GapAtFullCounts = gapShrinksWithFill ? atEmpty : atFull,
            GapNoiseCounts = Between(0.5, 4),
            CamBowPercent = Coin() ? 0 : Between(-6, 6),
            OvertravelPercent = Between(3, 8),
            TripHoldSeconds = Between(0.3, 1),
            EdgeWanderMillimeters = Between(0.1, 0.4),
            EdgeMillimetersPerPercentOfFill = Between(0, 0.02),
            EdgeMillimetersPerTurn = Between(0, 0.1),
        };
    }
}
