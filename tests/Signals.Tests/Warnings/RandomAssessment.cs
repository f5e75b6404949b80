using Dancerwatch.Signals.Bands;
using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Regimes;
using Dancerwatch.Signals.Roll;

namespace Dancerwatch.Signals.Tests.Warnings;

/// <summary>Assessments of readings with a fill, some of whose other numbers are not known.</summary>
internal static class RandomAssessment
{
    public static Assessment Of(int seed, in CauseSigns signs)
    {
        var random = new Random(seed ^ 77);
        return new Assessment
        {
            FillNow = new FillEstimate(
                (120 * random.NextDouble()) - 10,
                600,
                3500,
                50,
                FillFault.None,
                SetPointsChanged: false
            ),
            RegimeNow = new RegimeEstimate(Regime.Running, Number(0, 200), false, Side.None, false),
            OneMinute = new BandEstimate { P50 = Number(0, 100) },
            Margin = new MarginEstimate(Margin(), Margin()),
            Forecast = new ForecastEstimate(
                AnySide(),
                random.Next(3) == 0 ? double.PositiveInfinity : Number(0, 40),
                Number(0, 1),
                Number(0, 1),
                Number(0, 1),
                AnySide()
            ),
            OscillationNow = double.IsFinite(signs.Oscillation.FrequencyHz)
                ? signs.Oscillation
                : OscillationEstimate.Nothing(Rhythm.None),
            RollNow = default(RollEstimate) with { MinutesLeft = Number(0, 20) },
            Causes = CauseRanker.Rank(signs),
        };

        double Number(double from, double to) =>
            random.Next(10) == 0 ? double.NaN : from + ((to - from) * random.NextDouble());

        SideMargin Margin() => new(Number(-5, 40), double.NaN, double.NaN);

        Side AnySide() => (Side)random.Next(3);
    }
}
