using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Roll;
using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.FleetHistory.Making;

/// <summary>
/// One machine's day: packs, stops, has its rolls changed, trips and is started again; it is read, watched and recorded as
/// an agent would, and what was really the case goes into <see cref="Truth"/>.
/// </summary>
internal sealed class MachineDay
{
    private const double RollChangeAtMeters = 15;
    private const double LossShare = 0.002;

    private readonly PlannedMachine _plan;
    private readonly Random _random;
    private readonly VirtualDancer _dancer;
    private readonly Truth _truth;
    private readonly double _pollSeconds;
    private readonly List<FaultSchedule> _wrong = [];
    private double _now;
    private int _half = -1;
    private double _outOfRound;
    private double _nextStop;
    private double _startAt = double.PositiveInfinity;
    private bool _changesRoll;
    private double _clearAt = double.NaN;
    private bool _wasTripped;

    public MachineDay(PlannedMachine plan, double pollSeconds)
    {
        (_plan, _pollSeconds) = (plan, pollSeconds);
        _random = new Random(plan.Seed);
        _dancer = new VirtualDancer(plan.Built, plan.Seed);
        _truth = new Truth(plan);
        _nextStop = Soon(1800);
        PutOnRoll();
    }

    /// <summary>What the agent is told of the machine.</summary>
    public MachineSettings Settings =>
        new()
        {
            Fill = new FillSettings
            {
                GapAtEmpty = _plan.Configured.GapAtEmptyCounts,
                GapAtFull = _plan.Configured.GapAtFullCounts,
                TargetPercent = _plan.Configured.TargetFillPercent,
                OvertravelPercent = _plan.Configured.OvertravelPercent,
                TripHoldSeconds = _plan.Configured.TripHoldSeconds,
                StorageMillimeters = _plan.Configured.StorageMillimeters,
            },
            Roll = new RollSettings
            {
                CoreDiameterMillimeters = _plan.Configured.CoreDiameterMillimeters,
                FilmThicknessMicrometers = _plan.Configured.FilmThicknessMicrometers,
            },
            PollSeconds = _pollSeconds,
        };

    /// <summary>Lives through it.</summary>
    /// <param name="fromSeconds">Of the day.</param>
    public Truth Run(double fromSeconds, double hours, MachineWatch watch, DayRecorder recorder)
    {
        double end = fromSeconds + (hours * 3600);
        for (long poll = 0; (_now = fromSeconds + (poll * _pollSeconds)) < end; poll++)
        {
            Live();
            Reading reading = Read();
            watch.Process(reading);
            recorder.Take(reading);
        }
        _truth.End(_now);
        return _truth;
    }

    private bool IsAtWork => _plan.WorksAtNight || Shifts.Of(_now) != "night";

    private void Live()
    {
        // At night, once all stands, nothing moves: that time is not stepped through.
        if (IsAtWork || _dancer.Image.Running || _dancer.Image.UnwindSpeed > 0.01 || _dancer.IsHandled)
            _dancer.Advance(_pollSeconds);
        foreach (PlannedFault fault in _plan.Faults)
        {
            double at = fault.Hour * 3600;
            if (_now >= at && _now < at + _pollSeconds)
                GoWrong(fault);
        }
        if (_dancer.IsTripped)
        {
            Recover();
            return;
        }
        _wasTripped = false;
        if (_dancer.IsHandled)
            return;
        if (IsAtWork && _half != Shifts.Half(_now))
            BeginHalf(Shifts.Half(_now));
        if (_dancer.Image.Running)
            Tend();
        else if (_changesRoll && _dancer.Image.LineSpeed == 0 && _now > _startAt - 20)
        {
            _changesRoll = false;
            _dancer.ChangeRoll(_plan.Built.RollDiameterMillimeters * (0.85 + (0.15 * _random.NextDouble())));
            PutOnRoll();
        }
        else if (!_changesRoll && IsAtWork && (_now >= _startAt || double.IsInfinity(_startAt)))
        {
            _startAt = double.PositiveInfinity;
            _dancer.Start();
            _truth.Started(_now);
        }
    }

    private void Tend()
    {
        if (!IsAtWork)
            _dancer.Stop();
        else if (_dancer.Truth.RollMeters < RollChangeAtMeters)
        {
            _changesRoll = true;
            StopFor(60);
        }
        else if (_now >= _nextStop)
        {
            _nextStop = _now + Soon(2700);
            StopFor(30 + (90 * _random.NextDouble()));
        }
    }

    private void BeginHalf(int half)
    {
        _half = half;
        int product = Shifts.Product(half, _plan.Seed);
        _dancer.ChangeProduct(
            product,
            _plan.Built.BagLengthMillimeters * Shifts.BagShare(product),
            _plan.Built.CyclesPerMinute * Shifts.RateShare(half)
        );
    }

    private void StopFor(double seconds)
    {
        _dancer.Stop();
        _startAt = _now + seconds;
    }

    /// <summary>Every roll sits as its chuck lets it, some worse, some better.</summary>
    private void PutOnRoll()
    {
        _outOfRound = _plan.OutOfRoundMillimeters * (0.7 + (0.6 * _random.NextDouble()));
        _truth.PutOn(_now, _outOfRound);
        SetFaults();
    }

    private void GoWrong(PlannedFault fault)
    {
        _wrong.Add(new FaultSchedule(fault.Fault, _dancer.TimeSeconds, fault.GrowthSeconds, fault.Severity));
        _truth.WentWrong(_now, fault.Fault);
        SetFaults();
    }

    private void SetFaults() =>
        _dancer.Mend([
            .. _wrong,
            // Severity 1 is 30 % of the radius.
            new FaultSchedule(
                Fault.RollEccentricity,
                StartSeconds: -1,
                GrowthSeconds: 0,
                _outOfRound / (0.3 * _plan.Built.RollDiameterMillimeters / 2)
            ),
        ]);

    private void Recover()
    {
        if (!_wasTripped)
        {
            _wasTripped = true;
            _truth.Tripped(_now, _dancer.Image.FullSideTrip);
            _clearAt = _now + 40 + (80 * _random.NextDouble());
        }
        if (_now < _clearAt)
            return;
        if (_dancer.Truth.RollMeters < 1)
        {
            _dancer.ChangeRoll(_plan.Built.RollDiameterMillimeters);
            PutOnRoll();
        }
        _dancer.ClearTrip();
        _startAt = _now + 15;
        // Every other crew finds what is wrong.
        if (_random.Next(2) == 0 && _wrong.Count > 0)
        {
            _wrong.Clear();
            _truth.Mended(_now);
            SetFaults();
        }
    }

    private Reading Read()
    {
        long ticks = (long)Math.Round(_now * TimeSpan.TicksPerSecond);
        ControllerImage image = _dancer.Image;
        _truth.Saw(_now, _dancer.Truth.FillPercent, image.Running);
        return _random.NextDouble() < LossShare ? Reading.Failed(ticks) : Readings.Of(ticks, image);
    }

    private double Soon(double seconds) => seconds * (0.5 + _random.NextDouble());
}
