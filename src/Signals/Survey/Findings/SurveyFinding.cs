namespace Dancerwatch.Signals.Survey.Findings;

/// <summary>What a finding asks for.</summary>
public enum FindingWeight
{
    /// <summary>Not to be run until it is put right.</summary>
    Halt,

    /// <summary>A value to be entered, by a person, at the machine's own panel or in our configuration.</summary>
    Enter,

    /// <summary>Something to look at.</summary>
    Look,
}

/// <summary>One finding, in a sentence or two: what was measured, what was expected, what to do.</summary>
public sealed record SurveyFinding(FindingWeight Weight, string Text);
