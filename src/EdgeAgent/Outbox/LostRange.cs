namespace Dancerwatch.EdgeAgent.Outbox;

/// <summary>Events that will not arrive; the default is none.</summary>
/// <param name="First">Sequence of the first.</param>
/// <param name="Last">Sequence of the last.</param>
/// <param name="Events">How many are lost from first to last; fewer than all where the word of them had to wait while others went on.</param>
public readonly record struct LostRange(long First, long Last, long Events)
{
    public bool IsEmpty => Events == 0;

    /// <summary>With every event from <paramref name="first"/> to <paramref name="last"/>, all later than those before.</summary>
    public LostRange And(long first, long last) =>
        new(IsEmpty ? first : First, last, Events + (last - first + 1));

    /// <summary>What is left to tell after <paramref name="told"/>, which is what this was at some earlier time.</summary>
    public LostRange After(LostRange told) =>
        Last <= told.Last ? default : new(told.Last + 1, Last, Events - told.Events);
}
