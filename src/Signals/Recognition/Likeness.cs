namespace Dancerwatch.Signals.Recognition;

/// <summary>Whether values speak for a signal.</summary>
public enum Verdict
{
    /// <summary>They cannot be that signal in its unit.</summary>
    Against,

    /// <summary>They tell nothing: a machine that stands still, say.</summary>
    Silent,

    /// <summary>They are as that signal's are.</summary>
    For,
}

/// <summary>A verdict and its reason: half a sentence with the numbers that decided.</summary>
public readonly record struct Likeness(Verdict Verdict, string Reason);
