namespace Dancerwatch.Signals;

/// <summary>Refuses settings that cannot be used, in one way everywhere: name, value, what is allowed, what to try.</summary>
internal static class Demand
{
    /// <exception cref="ArgumentException"><paramref name="isKept"/> is false.</exception>
    public static void That(bool isKept, string name, double value, string allowed, string advice)
    {
        if (!isKept)
            throw new ArgumentException($"{name} is {value}. Allowed: {allowed}. {advice}", name);
    }
}
