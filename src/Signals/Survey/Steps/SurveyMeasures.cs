namespace Dancerwatch.Signals.Survey.Steps;

/// <summary>What was measured so far, step by step; null: not yet, or left out. All that results are computed from.</summary>
public sealed record SurveyMeasures
{
    public Hold? Full { get; init; }
    public Hold? HalfFromAbove { get; init; }
    public Hold? Empty { get; init; }
    public Hold? HalfFromBelow { get; init; }
    public Travel? Travel { get; init; }

    /// <summary>Started with the dancer at empty.</summary>
    public Start? FromEmpty { get; init; }
    public Run? Run { get; init; }
    public Stop? Stop { get; init; }

    /// <summary>Started with the dancer at full.</summary>
    public Start? FromFull { get; init; }
}
