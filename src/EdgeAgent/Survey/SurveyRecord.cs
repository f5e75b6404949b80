using Dancerwatch.Signals.Survey.Findings;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.EdgeAgent.Survey;

/// <summary>Whether a machine was surveyed before or after somebody worked at it.</summary>
internal enum SurveyKind
{
    AsFound,
    AsLeft,
}

/// <summary>A survey as it lies on disk, finished or not. Fields and units: docs/methods/survey.md.</summary>
internal sealed record SurveyRecord
{
    public const string CurrentFormat = "dancerwatch survey 1";

    public required string Format { get; init; }
    public required string Site { get; init; }
    public required string Area { get; init; }
    public required string Line { get; init; }
    public required string Machine { get; init; }
    public required SurveyKind Kind { get; init; }

    /// <summary>Who did it; empty where that was not said.</summary>
    public required string By { get; init; }

    /// <summary>UTC.</summary>
    public required DateTimeOffset Begun { get; init; }

    /// <summary>UTC; null: unfinished, to be gone on with.</summary>
    public DateTimeOffset? Finished { get; init; }

    /// <summary>What controller and configuration said at the beginning.</summary>
    public required KnownMachine Known { get; init; }

    /// <summary>Steps left out.</summary>
    public IReadOnlyList<SurveyStep> LeftOut { get; init; } = [];

    public SurveyMeasures Measures { get; init; } = new();

    /// <summary>For whoever reads the file: computed from the measures when it was written.</summary>
    public IReadOnlyList<RecordedResult> Results { get; init; } = [];

    /// <inheritdoc cref="Results"/>
    public IReadOnlyList<SurveyFinding> Findings { get; init; } = [];

    /// <summary>The first step that is neither taken nor left out; null where there is none.</summary>
    public SurveyStep? Next =>
        Enum.GetValues<SurveyStep>()
            .Where(step => !LeftOut.Contains(step) && !IsTaken(step))
            .Select(step => (SurveyStep?)step)
            .FirstOrDefault();

    public bool IsTaken(SurveyStep step) =>
        step switch
        {
            SurveyStep.HoldFull => Measures.Full is not null,
            SurveyStep.HoldHalfFromAbove => Measures.HalfFromAbove is not null,
            SurveyStep.HoldEmpty => Measures.Empty is not null,
            SurveyStep.HoldHalfFromBelow => Measures.HalfFromBelow is not null,
            SurveyStep.Travel => Measures.Travel is not null,
            SurveyStep.StartFromEmpty => Measures.FromEmpty is not null,
            SurveyStep.Run => Measures.Run is not null,
            SurveyStep.Stop => Measures.Stop is not null,
            SurveyStep.StartFromFull => Measures.FromFull is not null,
            _ => throw new ArgumentOutOfRangeException(nameof(step), step, "not a step"),
        };
}

/// <summary>One result: its name, value and 95 % half-width (null where not known), unit.</summary>
internal sealed record RecordedResult(string Name, double Value, double Plus, string Unit);
