using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Discovery;

/// <summary>Units that a name ends with, and what a value is to be multiplied by for the signal's unit.</summary>
internal static class UnitWords
{
    private static readonly (Signal[] Signals, (string Word, double Scale)[] Units)[] s_units =
    [
        (
            [Signal.UnwindSpeed, Signal.UnwindCommand, Signal.LineSpeed],
            [("mpm", 1), ("mmin", 1), ("mms", 0.06), ("mmps", 0.06), ("mps", 60), ("fpm", 0.3048)]
        ),
        ([Signal.BrakePressure], [("bar", 1), ("kpa", 0.01), ("psi", 0.0689476)]),
        ([Signal.RollDiameter, Signal.EdgePosition], [("mm", 1), ("cm", 10)]),
    ];

    /// <summary>The scale a name tells; 1 and null where it tells none.</summary>
    public static (double Scale, string? Unit) Of(Signal signal, IReadOnlyList<NameWord> words)
    {
        foreach ((Signal[] signals, (string Word, double Scale)[] units) in s_units)
        {
            if (!signals.Contains(signal))
                continue;
            foreach ((string word, double scale) in units)
            {
                if (words.Any(other => other.Text == word))
                    return (scale, word);
            }
        }
        return (1, null);
    }

    /// <summary>Whether the signal has a unit that its tag may not have.</summary>
    public static bool Matters(Signal signal) => s_units.Any(group => group.Signals.Contains(signal));
}
