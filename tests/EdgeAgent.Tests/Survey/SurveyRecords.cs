using Dancerwatch.EdgeAgent.Survey;
using Dancerwatch.Signals.Survey;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.EdgeAgent.Tests.Survey;

/// <summary>Records made up for tests.</summary>
internal static class SurveyRecords
{
    public static SurveyRecord Of(string machine, double gapAtFull = 3500, bool isFinished = false) =>
        new()
        {
            Format = SurveyRecord.CurrentFormat,
            Site = "leafside",
            Area = "tea-hall",
            Line = "line-1",
            Machine = machine,
            Kind = SurveyKind.AsFound,
            By = "R. Mehta",
            Begun = new DateTimeOffset(2026, 11, 25, 8, 0, 0, TimeSpan.Zero),
            Finished = isFinished ? new DateTimeOffset(2026, 11, 25, 8, 10, 0, TimeSpan.Zero) : null,
            Known = new KnownMachine
            {
                GapAtFull = 3500,
                GapAtEmpty = 600,
                TargetPercent = 50,
                OvertravelPercent = 5,
                GapMinimum = 0,
                GapMaximum = 4095,
                GapStep = 1,
                StorageMillimeters = double.NaN,
                Brake = BrakeKind.Air,
            },
            LeftOut = [SurveyStep.Travel],
            Measures = new SurveyMeasures
            {
                Full = new Hold(new Uncertain(gapAtFull, 1.25), 2, double.NaN, 10, 500),
                Empty = new Hold(new Uncertain(600, 1), 2, 1, 10, 500),
                FromFull = new Start([new Block(0.05, 3500, 0, 0, double.NaN, 0, 1, 6)], Tripped: false),
            },
        };
}
