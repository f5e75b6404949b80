using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Tests.Readings;

/// <summary>Readings written out: a time, and the signals that are there.</summary>
internal static class ReadingMaker
{
    public static Reading At(double seconds, params ReadOnlySpan<(Signal Signal, double Value)> values)
    {
        SignalValues all = SignalValues.Unknown;
        foreach ((Signal signal, double value) in values)
            all[signal] = value;
        return new Reading((long)Math.Round(seconds * TimeSpan.TicksPerSecond), all, Quality.Good);
    }
}
