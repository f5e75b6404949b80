namespace Dancerwatch.EdgeAgent.Survey;

/// <summary>The steps of a survey, in the order they are asked for. The first five with the machine locked out.</summary>
internal enum SurveyStep
{
    HoldFull,
    HoldHalfFromAbove,
    HoldEmpty,
    HoldHalfFromBelow,
    Travel,
    StartFromEmpty,
    Run,
    Stop,
    StartFromFull,
}
