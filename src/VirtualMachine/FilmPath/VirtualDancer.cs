using Dancerwatch.VirtualMachine.Faults;

namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// One machine's film path, stepped at 1 kHz, with the controller's scan at 100 Hz: roll, drive and brake, accumulator and
/// dancer, pull, sensor, trim, trip. Deterministic for its seed; allocates nothing while stepping. Film is conserved: what is
/// unwound is drawn, stored, or loose on the way.
/// </summary>
public sealed class VirtualDancer
{
    /// <summary>Length of a step, s.</summary>
    public const double StepSeconds = 0.001;

    private const int StepsPerScan = 10;
    private const double ScanSeconds = StepsPerScan * StepSeconds;

    private readonly MachineParameters _machine;
    private readonly IReadOnlyList<FaultSchedule> _faults;
    private readonly Random _random;
    private readonly Roll _roll;
    private readonly UnwindDrive _drive;
    private readonly SpindleBrake _brake;
    private readonly FilmDraw _draw = new();
    private readonly Dancer _dancer;
    private readonly GapSensor _sensor;
    private readonly UnwindController _controller;
    private readonly TripLatch _trip;
    private readonly HandWork _hand = new();
    private Wear _wear;
    private long _steps;
    private double _loose;
    private double _unwound;
    private double _drawn;
    private double _nominalCyclesPerMinute;
    private double _bagMillimeters;
    private double _spliceSecondsLeft;
    private double _edge;
    private int _product = 1;
    private bool _running;

    /// <param name="machine">How the machine is built.</param>
    /// <param name="seed">Of its noise.</param>
    /// <param name="faults">What goes wrong, and when.</param>
    public VirtualDancer(MachineParameters machine, int seed, params IReadOnlyList<FaultSchedule> faults)
    {
        _machine = machine;
        _faults = faults;
        _random = new Random(seed);
        _roll = new Roll(
            machine.RollDiameterMillimeters,
            machine.CoreDiameterMillimeters,
            machine.FilmThicknessMicrometers,
            machine.FilmWidthMillimeters,
            machine.FilmDensityKilogramsPerCubicMeter
        );
        _drive = new UnwindDrive(machine, _roll.InertiaKilogramSquareMeters);
        _brake = new SpindleBrake(machine.Brake, machine.BrakeTorqueNewtonMeters, machine.BrakeFromPercent);
        _dancer = new Dancer(
            machine.StorageMillimeters / 1000,
            machine.DancerNaturalHertz,
            machine.DancerDampingRatio,
            machine.TargetFillPercent
        );
        _sensor = new GapSensor(machine, _random);
        _controller = new UnwindController(machine);
        _trip = new TripLatch(machine.OvertravelPercent, machine.TripHoldSeconds);
        _nominalCyclesPerMinute = machine.CyclesPerMinute;
        _bagMillimeters = machine.BagLengthMillimeters;
        foreach (FaultSchedule fault in faults)
        {
            if (fault.Fault == Fault.RollEnding)
                EndRollAt(fault.StartSeconds + fault.GrowthSeconds);
        }
        Scan();
    }

    /// <summary>Machine time, s; stands still between steps.</summary>
    public double TimeSeconds => _steps * StepSeconds;

    /// <summary>What the controller knows since its last scan.</summary>
    public ControllerImage Image { get; private set; }

    /// <summary>What is really the case.</summary>
    public FilmTruth Truth =>
        new(
            _dancer.Percent,
            _dancer.StoredMeters,
            _loose,
            _unwound,
            _drawn,
            _roll.DiameterMeters * 1000,
            _drive.RadiansPerSecond / (2 * Math.PI)
        );

    /// <summary>The trip holds; <see cref="ClearTrip"/> before the next start.</summary>
    public bool IsTripped => _trip.IsTripped;

    /// <summary>The dancer is being moved by hand.</summary>
    public bool IsHandled => _hand.IsBusy;

    /// <summary>Steps until at least that much more time has passed.</summary>
    public void Advance(double seconds)
    {
        long end = _steps + (long)Math.Round(seconds / StepSeconds);
        while (_steps < end)
            Step();
    }

    /// <summary>1 ms.</summary>
    public void Step()
    {
        _steps++;
        double turned;
        double brakeTorque = _brake.Step(
            StepSeconds,
            _dancer.Percent,
            _controller.FillPercent,
            hold: _trip.IsTripped || _hand.IsBusy,
            _wear.BrakeWear
        );
        if (_hand.IsBusy)
        {
            turned = _hand.Step(StepSeconds, _dancer.StoredMeters / _dancer.StorageMeters * 100, _roll);
        }
        else
        {
            turned = _drive.Step(
                StepSeconds,
                _controller.CommandMetersPerSecond,
                _roll,
                brakeTorque + SpliceTorque(),
                _wear
            );
        }
        double given = _roll.Turn(turned, _wear.EccentricityMeters);
        _unwound += given;
        _drawn += _dancer.Step(StepSeconds, ThroughSnag(given), Pull());
        if (_steps % StepsPerScan == 0)
            Scan();
    }

    /// <summary>Starts the machine; it ramps up. Nothing happens while it is tripped or handled.</summary>
    public void Start() => _running = !_trip.IsTripped && !_hand.IsBusy;

    /// <summary>Stops the machine; it ramps down.</summary>
    public void Stop() => _running = false;

    /// <summary>The operator winds the dancer back to its target by hand and clears the trip.</summary>
    public void ClearTrip()
    {
        _hand.MoveTo(_machine.TargetFillPercent);
        _trip.Clear();
    }

    /// <summary>Moves the dancer by turning the roll by hand, to a fill between -10 and 110 %; the machine must stand.</summary>
    /// <exception cref="InvalidOperationException">The machine runs.</exception>
    public void MoveDancerByHand(double fillPercent)
    {
        MustStand("move the dancer by hand");
        _hand.MoveTo(Math.Clamp(fillPercent, -10, 110));
    }

    /// <summary>Puts a new roll on; the machine must stand. Film in the accumulator stays.</summary>
    /// <exception cref="InvalidOperationException">The machine runs.</exception>
    public void ChangeRoll(double diameterMillimeters)
    {
        MustStand("change the roll");
        _roll.SetDiameter(diameterMillimeters / 1000);
    }

    /// <summary>Another bag and rate, from the next cycle on.</summary>
    public void ChangeProduct(int product, double bagLengthMillimeters, double cyclesPerMinute)
    {
        _product = product;
        _bagMillimeters = bagLengthMillimeters;
        _nominalCyclesPerMinute = cyclesPerMinute;
    }

    /// <summary>Another rate; the machine ramps to it.</summary>
    public void SetSpeed(double cyclesPerMinute) => _nominalCyclesPerMinute = cyclesPerMinute;

    /// <summary>A splice comes off the roll: its tape grips for a moment.</summary>
    public void Splice() => _spliceSecondsLeft = 0.15;

    private void MustStand(string what)
    {
        if (_running || _draw.CyclesPerSecond > 0)
            throw new InvalidOperationException($"The machine runs: stop it before you {what}.");
    }

    // So much film as the line takes until then. The wind is started so that the fault's time comes out at nominal speed.
    private void EndRollAt(double seconds) => _roll.SetLength(_machine.LineMetersPerMinute / 60 * seconds);

    private double SpliceTorque()
    {
        if (_spliceSecondsLeft <= 0)
            return 0;
        _spliceSecondsLeft -= StepSeconds;
        return _machine.DriveTorqueNewtonMeters * 0.3;
    }

    private double Pull()
    {
        double cyclesPerSecond = _nominalCyclesPerMinute / 60 / _wear.BagFactor;
        return _draw.Step(
                StepSeconds,
                _running ? cyclesPerSecond : 0,
                cyclesPerSecond,
                _bagMillimeters / 1000 * _wear.BagFactor,
                _machine.DrawShare
            ) * StepSeconds;
    }

    // A snag holds part of what comes and gives it up again once it is gone.
    private double ThroughSnag(double given)
    {
        if (_wear.SnagShare > 0)
        {
            double caught = given * _wear.SnagShare;
            _loose += caught;
            return given - caught;
        }
        double freed = Math.Min(_loose, 0.2 * StepSeconds);
        _loose -= freed;
        return given + freed;
    }

    private void Scan()
    {
        _wear = Wear.None(_machine);
        for (int i = 0; i < _faults.Count; i++)
            _wear.Add(_faults[i].Fault, _faults[i].At(TimeSeconds), _machine);

        int gap = _sensor.Sample(_dancer.Percent, ScanSeconds, _wear);
        double line = _draw.CyclesPerSecond * _bagMillimeters / 1000 * _wear.BagFactor;
        _controller.Scan(gap, line, _trip.IsTripped, ScanSeconds, _wear);
        // A dancer moved by hand trips nothing: the machine stands and its unwind is off.
        if (!_hand.IsBusy && (_running || _drive.RadiansPerSecond > 0))
            _trip.Scan(_controller.FillPercent, _dancer.Percent, ScanSeconds);
        if (_trip.IsTripped)
            _running = false;
        _edge += (-0.002 * _edge) + (0.02 * (_random.NextDouble() - 0.5));

        Image = new ControllerImage
        {
            GapCounts = gap,
            UnwindSpeed = _drive.SurfaceMetersPerSecond * 60,
            UnwindCommand = _controller.CommandMetersPerSecond * 60,
            LineSpeed = line * 60,
            CycleRate = _draw.CyclesPerSecond * 60,
            Running = _running,
            TargetFill = _machine.TargetFillPercent,
            GapAtFull = (int)Math.Round(_controller.GapAtFullCounts),
            GapAtEmpty = (int)Math.Round(_controller.GapAtEmptyCounts),
            FullSideTrip = _trip.Full,
            EmptySideTrip = _trip.Empty,
            BrakeOn = _brake.IsOn,
            BrakePressure = _brake.PressureBar,
            RollDiameter = _roll.DiameterMeters * 1000,
            EdgePosition = _edge,
            Product = _product,
        };
    }
}
