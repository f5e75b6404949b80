using Dancerwatch.EdgeAgent.Reports;
using Dancerwatch.EdgeAgent.Tests.Watching;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Tests.Reports;

/// <summary>
/// A machine that runs for a while about half fill, drifts full within a minute, trips by its controller's word, stands for a
/// minute and is started again; read every 50 ms. And the report of it.
/// </summary>
internal sealed class ReportFilm
{
    public static readonly DateTimeOffset Start = new(2026, 11, 25, 6, 0, 0, TimeSpan.Zero);

    private static readonly MachineSettings s_machine = new()
    {
        PollSeconds = 0.05,
        Fill = new FillSettings
        {
            GapAtEmpty = 600,
            GapAtFull = 3_500,
            StorageMillimeters = 1_500,
        },
    };

    private const double PollSeconds = 0.05;
    private const double DriftSeconds = 60;
    private const double StandSeconds = 60;

    private readonly ReportCollector _collector;
    private double _seconds;

    /// <param name="from">Begin of the period, s after <see cref="Start"/>.</param>
    /// <param name="change">What is compared before and after of, s after <see cref="Start"/>.</param>
    public ReportFilm(double from = 0, double? change = null) =>
        _collector = new ReportCollector(
            Machines.Tea1,
            s_machine,
            ticks => Start.AddTicks(ticks),
            Start.AddSeconds(from),
            change is { } seconds ? Start.AddSeconds(seconds) : null
        );

    /// <summary>Runs level, drifts past full, trips, stands.</summary>
    public void Trip(double levelSeconds)
    {
        Run(levelSeconds);
        Read(DriftSeconds, share => 50 + (56 * share), running: true);
        Read(StandSeconds, _ => 106, running: false, tripped: true);
        // Wound back by hand before the start.
        Read(10, _ => 50, running: false);
    }

    public void Run(double seconds) => Read(seconds, _ => 50, running: true);

    public void Stand(double seconds) => Read(seconds, _ => 50, running: false);

    /// <summary>Nobody reads for so long.</summary>
    public void Skip(double seconds) => _seconds += seconds;

    public MachineReport? Finish(IReadOnlyList<string>? leftOut = null) =>
        _collector.Finish("all", TimeZoneInfo.Utc, leftOut ?? []);

    private void Read(double seconds, Func<double, double> fill, bool running, bool tripped = false)
    {
        int count = (int)(seconds / PollSeconds);
        for (int i = 0; i < count; i++)
        {
            _seconds += PollSeconds;
            double swing = running ? 3 * Math.Sin(2 * Math.PI * _seconds) : 0;
            SignalValues values = SignalValues.Unknown;
            values[Signal.Gap] = Math.Round(600 + (29 * (fill((double)i / count) + swing)));
            values[Signal.UnwindSpeed] = running ? 12 : 0;
            values[Signal.LineSpeed] = running ? 12 : 0;
            values[Signal.CycleRate] = running ? 60 : 0;
            values[Signal.Running] = running ? 1 : 0;
            values[Signal.FullSideTrip] = tripped ? 1 : 0;
            values[Signal.EmptySideTrip] = 0;
            values[Signal.RollDiameter] = 300 - (_seconds / 100);
            _collector.Take(new Reading((long)(_seconds * TimeSpan.TicksPerSecond), values, Quality.Good));
        }
    }
}
