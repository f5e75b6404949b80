using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;
using Dancerwatch.Signals.Statistics;
using Dancerwatch.Signals.Tuning;

namespace Dancerwatch.EdgeAgent.Reports;

/// <summary>
/// Collects a report from a machine's readings, replayed through the same mathematics as live ones. Readings from before the
/// period only warm it up. One thread.
/// </summary>
/// <param name="toWallClock">UTC time of the latest reading's ticks, or of ticks near it.</param>
/// <param name="from">Begin of the period, UTC.</param>
/// <param name="change">The moment to compare before and after of; null for none.</param>
internal sealed class ReportCollector(
    MachinePlace place,
    MachineSettings machine,
    Func<long, DateTimeOffset> toWallClock,
    DateTimeOffset from,
    DateTimeOffset? change
)
{
    private readonly MachineSweep _sweep = new(machine, [machine.Warnings], new TuningRules());
    private readonly TimelineBuilder _timeline = new();
    private readonly WarningBook _warnings = new();
    private readonly RegimeBook _regimes = new(change?.ToUnixTimeMilliseconds());
    private readonly long _from = from.ToUnixTimeMilliseconds();
    private readonly List<Trip> _trips = [];
    private int _tripsBefore;
    private bool _began;
    private long _first;
    private long _last;
    private long _readings;
    private double _target = machine.Fill.TargetPercent;

    public void Take(in Reading reading)
    {
        int underWay = _sweep.UnderWay;
        if (_sweep.Take(reading) is not { } a)
            return;
        long now = Milliseconds(a.Ticks);
        if (!_began && now >= _from)
            Begin(now);
        bool isTrip = a.Regime is { Regime: Regime.Tripped, Changed: true };
        bool counts = isTrip && _sweep.UnderWay == underWay;
        for (int i = 0; i < a.Transitions.Count; i++)
            _warnings.Note(a.Transitions[i], now);
        if (!_began)
        {
            _tripsBefore += counts ? 1 : 0;
            return;
        }
        _last = now;
        _readings++;
        if (double.IsFinite(a.Fill.TargetPercent))
            _target = a.Fill.TargetPercent;
        if (isTrip)
            _trips.Add(
                new Trip(
                    now,
                    a.Regime.TripSide.Code(),
                    !counts,
                    a.Causes.First.Cause.Code(),
                    a.Causes.First.Confidence
                )
            );
        _regimes.Take(a, Milliseconds);
        _timeline.Take(a, Milliseconds);
    }

    /// <summary>The report; null where the period holds no reading.</summary>
    /// <param name="asked">The period in words.</param>
    public MachineReport? Finish(string asked, TimeZoneInfo zone, IReadOnlyList<string> leftOut)
    {
        if (!_began)
            return null;
        SettingScore score = _sweep.Scores()[0];
        TripRow[] trips = [.. Rows(score.Leads.Skip(_tripsBefore))];
        IReadOnlyList<WarningRow> warnings = _warnings.Rows();
        ReportHours hours = _regimes.Hours;
        EventRate rate = new(trips.Count(trip => !trip.UnderWay), hours.Running);
        return new MachineReport
        {
            Site = place.Site,
            Area = place.Area,
            Line = place.Line,
            Machine = place.Machine,
            TimeZone = zone.Id,
            From = _first,
            To = _last,
            Asked = asked,
            Readings = _readings,
            Limits = new(machine.Fill.EmptyTripPercent, machine.Fill.FullTripPercent, _target),
            Hours = hours,
            TripRate = new(
                rate.Count,
                trips.Length - rate.Count,
                rate.Hours,
                rate.HoursBetween,
                rate.LeastHoursBetween,
                rate.MostHoursBetween
            ),
            FalseWarnings = score.False,
            UnsettledWarnings = score.Unsettled,
            Trips = trips,
            Warnings = warnings,
            Stops = _regimes.Stops,
            Causes = CauseTable.Of(trips, warnings, _last),
            Timeline = _timeline.Build(),
            Change = change is { } moment
                ? ChangeComparison.Of(
                    moment.ToUnixTimeMilliseconds(),
                    _regimes.Running,
                    trips,
                    _timeline.Margins
                )
                : null,
            LeftOut = leftOut,
        };
    }

    private void Begin(long now)
    {
        (_began, _first) = (true, now);
        _warnings.Begin();
    }

    private IEnumerable<TripRow> Rows(IEnumerable<double> leads)
    {
        using IEnumerator<double> lead = leads.GetEnumerator();
        foreach (Trip trip in _trips)
        {
            double? seconds =
                !trip.UnderWay && lead.MoveNext() && double.IsFinite(lead.Current)
                    ? Math.Round(lead.Current, 2)
                    : null;
            yield return new TripRow(
                trip.Time,
                trip.Side,
                seconds,
                trip.UnderWay,
                trip.Cause,
                Math.Round(trip.Confidence, 3)
            );
        }
    }

    private long Milliseconds(long ticks) => toWallClock(ticks).ToUnixTimeMilliseconds();

    private readonly record struct Trip(
        long Time,
        string? Side,
        bool UnderWay,
        string Cause,
        double Confidence
    );
}
