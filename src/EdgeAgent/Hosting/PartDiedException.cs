namespace Dancerwatch.EdgeAgent.Hosting;

/// <summary>
/// A part that must never end has ended: a fault of the program, whatever the reason looks like. The whole ends with it, so
/// that its supervisor starts it anew.
/// </summary>
public sealed class PartDiedException(string part, Exception? why)
    : Exception($"{part} has died: {why?.Message ?? "it ended by itself"}", why);
