using Dancerwatch.Signals.Survey.Results;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.Signals.Survey.Findings;

/// <summary>
/// What an engineer would say of the results, worst first. Nothing here asks anybody to go past a guard, and nothing is entered
/// by the program.
/// </summary>
public static class SurveyFindings
{
    public static IReadOnlyList<SurveyFinding> Of(
        SurveyResult result,
        SurveyMeasures measures,
        KnownMachine known
    )
    {
        IEnumerable<SurveyFinding> all =
        [
            .. EndFindings.Of(result, known),
            .. SensorFindings.Of(result),
            .. FilmFindings.Of(result, measures, known),
            .. BrakeFindings.Of(result, known),
            .. MotionFindings.Of(result, measures),
            .. TargetFindings.Of(result, known),
        ];
        return [.. all.OrderBy(finding => finding.Weight)];
    }
}
