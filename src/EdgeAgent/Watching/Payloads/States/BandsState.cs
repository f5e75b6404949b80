using Dancerwatch.Signals.Bands;

namespace Dancerwatch.EdgeAgent.Watching.Payloads.States;

/// <summary><c>state/bands</c></summary>
internal static class BandsState
{
    private static readonly (string Name, string Order, Func<BandEstimate, double> Of)[] s_percentiles =
    [
        ("p01", "1st", band => band.P01),
        ("p05", "5th", band => band.P05),
        ("p25", "25th", band => band.P25),
        ("p50", "50th", band => band.P50),
        ("p75", "75th", band => band.P75),
        ("p95", "95th", band => band.P95),
        ("p99", "99th", band => band.P99),
    ];

    public static MessageShape<MachineState> Shape { get; } =
        StateShape
            .Of("bands", "Where fill was, in percentiles over three windows of running.")
            .Band("1min", "the last minute", state => state.OneMinute)
            .Band("15min", "the last quarter of an hour", state => state.FifteenMinutes)
            .Band("8h", "the last eight hours", state => state.EightHours);

    private static MessageShape<MachineState> Band(
        this MessageShape<MachineState> shape,
        string window,
        string words,
        Func<MachineState, BandEstimate> of
    )
    {
        foreach ((string name, string order, Func<BandEstimate, double> value) in s_percentiles)
        {
            shape.Number(
                $"{name}_{window}",
                "%",
                $"{order} percentile of fill over {words} of running; null while the window is empty",
                // A window without readings has no percentiles, whatever stands in its fields.
                state => of(state) is { Count: > 0 } band ? value(band) : double.NaN
            );
        }
        return shape.Count($"readings_{window}", "Readings in that window", state => of(state).Count);
    }
}
