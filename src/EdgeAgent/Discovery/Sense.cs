namespace Dancerwatch.EdgeAgent.Discovery;

/// <summary>What a word in a tag's name speaks of.</summary>
internal enum Sense
{
    /// <summary>Nothing by which a signal or a machine is known: sensor, actual, analog...</summary>
    Nothing,
    Dancer,
    Gap,
    Position,
    Sensor,
    Fill,
    Unwind,
    Roll,
    Film,
    Line,
    Speed,
    Command,
    Cycle,
    PerMinute,
    Rate,
    Running,
    Full,
    Empty,

    /// <summary>High, low, upper, lower: one of two ends, and nobody can tell which.</summary>
    SomeEnd,
    Trip,
    Brake,
    Applied,
    Released,
    Pressure,
    Diameter,
    Edge,
    Product,

    /// <summary>Computed from what is wanted: filtered, scaled, averaged.</summary>
    Derived,

    /// <summary>Another thing than the value itself: counts, times, texts, limits.</summary>
    Beside,
}
