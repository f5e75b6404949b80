namespace Dancerwatch.Signals.Survey.Results;

/// <summary>Whether a result of one survey differs from that of another.</summary>
public enum ChangeWeight
{
    /// <summary>One of the two does not know it.</summary>
    NotKnown,

    /// <summary>Within what the two surveys can tell.</summary>
    Same,

    /// <summary>Surely another, and too little to matter.</summary>
    Small,

    /// <summary>Surely another, and it matters.</summary>
    Matters,
}

/// <summary>One result before and after.</summary>
/// <param name="Name">What it is.</param>
/// <param name="Unit">Its unit.</param>
public readonly record struct SurveyChange(
    string Name,
    string Unit,
    Uncertain Before,
    Uncertain After,
    ChangeWeight Weight
)
{
    public double Difference => After.Value - Before.Value;

    /// <param name="matters">From which difference on it matters, in its unit.</param>
    internal static SurveyChange Of(
        string name,
        string unit,
        Uncertain before,
        Uncertain after,
        double matters
    )
    {
        Uncertain difference = after.Less(before);
        double size = Math.Abs(difference.Value);
        ChangeWeight weight =
            !difference.IsKnown ? ChangeWeight.NotKnown
            : size <= difference.Plus ? ChangeWeight.Same
            : size < matters ? ChangeWeight.Small
            : ChangeWeight.Matters;
        return new(name, unit, before, after, weight);
    }
}
