using Dancerwatch.Signals.Survey;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.Signals.Tests.Survey;

/// <summary>Measures made up for one machine: gap 600 at empty, 3500 at full, 1200 mm of film, brake from 88 %.</summary>
internal static class Surveys
{
    public static KnownMachine Known { get; } =
        new()
        {
            GapAtFull = 3500,
            GapAtEmpty = 600,
            TargetPercent = 50,
            OvertravelPercent = 5,
            GapMinimum = 0,
            GapMaximum = 4095,
            GapStep = 1,
            StorageMillimeters = double.NaN,
            Brake = BrakeKind.SpringLinked,
        };

    public static Hold At(double gap) => new(new Uncertain(gap, 1), 2, 1, 10, 500);

    public static SurveyMeasures Healthy { get; } =
        new()
        {
            Full = At(3500),
            HalfFromAbove = At(2051),
            Empty = At(600),
            HalfFromBelow = At(2050),
            Travel = new Travel(Way(-15, 115), Way(115, -15), 165, 3935, 0, 0, FilmAgainstHolds: false),
            Run = new Run(60, 1, 1900, 2200, new Uncertain(300, 3), 1880, 2050, 2230, 5, 12, 12),
            Stop = new Stop(2050, 2060, 2050, 2100, 20),
        };

    /// <summary>Blocks from one true fill to another, 7 % a second.</summary>
    public static IReadOnlyList<Block> Way(double from, double to, double bow = 0, double brakeFrom = 88)
    {
        List<Block> blocks = [];
        int steps = (int)(Math.Abs(to - from) / 0.7);
        for (int i = 0; i <= steps; i++)
        {
            double fill = from + ((to - from) * i / steps);
            double along = Math.Clamp(fill / 100, 0, 1);
            double straight = fill + (bow * 4 * along * (1 - along));
            double film = to > from ? 12 * (fill - from) : 0;
            blocks.Add(
                new Block(
                    i * 0.1,
                    600 + (29 * straight),
                    film,
                    5,
                    double.NaN,
                    0,
                    fill > brakeFrom ? 1 : 0,
                    double.NaN
                )
            );
        }
        return blocks;
    }
}
