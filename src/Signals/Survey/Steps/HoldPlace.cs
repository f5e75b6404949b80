namespace Dancerwatch.Signals.Survey.Steps;

/// <summary>Where the dancer is held.</summary>
public enum HoldPlace
{
    /// <summary>At its full mark, brought there from below.</summary>
    Full,

    /// <summary>Half way, brought there from above.</summary>
    HalfFromAbove,

    /// <summary>At its empty mark, brought there from above.</summary>
    Empty,

    /// <summary>Half way, at the very mark of before, brought there from below.</summary>
    HalfFromBelow,
}
