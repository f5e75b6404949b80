using System.Runtime.CompilerServices;
using Dancerwatch.VirtualMachine.Faults;

namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// One machine's film path, stepped at 1 kHz, with the controller's scan at 100 Hz: roll, drive and brake, accumulator and
/// dancer, pull, sensor, trim, trip. Deterministic for its seed; allocates nothing while stepping. Film is conserved: what is
/// unwound is drawn or stored. Not safe for several threads.
/// </summary>
public sealed class VirtualDancer
{
    /// <summary>Length of a step, s.</summary>
    public const double StepSeconds = 0.001;

    private const int StepsPerScan = 10;
    private const double ScanSeconds = StepsPerScan * StepSeconds;

    // A splice's tape grips for this long, with this share of the drive's torque.
    private const double SpliceSeconds = 0.15;
    private const double SpliceTorqueShare = 0.3;

    // The hand's noise is its own, so that a machine nobody holds runs the same with it and without.
    private const int HoldingSeed = 7919;

    private readonly MachineParameters _machine;
    private IReadOnlyList<FaultSchedule> _faults;
    private readonly Roll _roll;
    private readonly UnwindDrive _drive;
    private readonly SpindleBrake _brake;
    private readonly FilmSnag _snag;
    private readonly FilmDraw _draw;
    private readonly Dancer _dancer;
    private readonly GapSensor _sensor;
    private readonly SpeedPickup _pickup;
    private readonly UnwindController _controller;
    private readonly TripLatch _trip;
    private readonly FilmEdge _edge;
    private readonly HandWork _hand = new();
    private readonly HandOnDancer _holding;
    private Defects _defects;
    private long _steps;
    private double _given;
    private double _turnedByHolding;
    private double _drawnNow;
    private double _unwound;
    private double _unwoundAtScan;
    private double _drawn;
    private double _drawnAtScan;
    private double _nominalCyclesPerMinute;
    private double _bagMillimeters;
    private double _spliceSecondsLeft;
    private int _product = 1;
    private bool _running;

    /// <summary>A standing machine with the dancer at its target.</summary>
    /// <param name="machine">How the machine is built.</param>
    /// <param name="seed">Of its noise.</param>
    /// <param name="faults">What goes wrong, and when.</param>
    /// <exception cref="ArgumentException">No machine can be built so; names each parameter, its value and what is allowed.</exception>
    public VirtualDancer(MachineParameters machine, int seed, params IReadOnlyList<FaultSchedule> faults)
    {
        ParameterCheck.ThrowIfImpossible(machine);
        _machine = machine;
        _faults = [.. faults];
        Random random = new(seed);
        _roll = new Roll(
            machine.RollDiameterMillimeters,
            machine.CoreDiameterMillimeters,
            machine.FilmThicknessMicrometers,
            machine.FilmWidthMillimeters,
            machine.FilmDensityKilogramsPerCubicMeter
        );
        _drive = new UnwindDrive(machine);
        _brake = new SpindleBrake(machine);
        _snag = new FilmSnag(2 * machine.DriveTorqueNewtonMeters, random);
        _draw = new FilmDraw(machine.DrawShare);
        _dancer = new Dancer(
            machine.StorageMillimeters / 1000,
            machine.DancerNaturalHertz,
            machine.DancerDampingRatio,
            machine.TargetFillPercent
        );
        _sensor = new GapSensor(machine, random);
        _pickup = new SpeedPickup(machine, random);
        _controller = new UnwindController(machine);
        _trip = new TripLatch(machine.OvertravelPercent, machine.TripHoldSeconds);
        _edge = new FilmEdge(machine, random);
        _holding = new HandOnDancer(new Random(seed + HoldingSeed));
        _nominalCyclesPerMinute = machine.CyclesPerMinute;
        _bagMillimeters = machine.BagLengthMillimeters;
        foreach (FaultSchedule fault in _faults)
        {
            // So much film as the line takes until then at nominal speed.
            if (fault.Fault == Fault.RollEnding)
                _roll.SetLength(
                    machine.LineMetersPerMinute / 60 * (fault.StartSeconds + fault.GrowthSeconds)
                );
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
            _unwound,
            _drawn,
            _given / StepSeconds,
            _drawnNow / StepSeconds,
            _roll.LengthMeters,
            _roll.DiameterMeters * 1000,
            _drive.RadiansPerSecond / (2 * Math.PI),
            _drive.TorqueNewtonMeters
        );

    /// <summary>The trip holds; <see cref="ClearTrip"/> before the next start.</summary>
    public bool IsTripped => _trip.IsTripped;

    /// <summary>The roll is being turned by hand.</summary>
    public bool IsHandled => _hand.IsBusy;

    /// <summary>A hand holds the dancer where it was wanted.</summary>
    public bool IsHeld => _holding.IsHolding && _holding.IsThere;

    /// <summary>A hand is on its way with the dancer.</summary>
    public bool IsBeingMoved => _holding.IsHolding && !_holding.IsThere;

    /// <summary>Steps until at least that much more time has passed; to the nearest millisecond.</summary>
    /// <param name="seconds">s; nothing happens for 0 and less.</param>
    public void Advance(double seconds)
    {
        long end = _steps + (long)Math.Round(seconds / StepSeconds);
        while (_steps < end)
            Step();
    }

    /// <inheritdoc cref="Advance(double)"/>
    public void Advance(TimeSpan time) => Advance(time.TotalSeconds);

    /// <summary>1 ms.</summary>
    public void Step()
    {
        _steps++;
        double torque = _brake.Step(
            StepSeconds,
            _dancer.Percent,
            _controller.FillPercent,
            hold: _trip.IsTripped || _hand.IsBusy,
            _defects.HoldingLossShare,
            _defects.BrakeDragNewtonMeters
        );
        torque += _snag.Step(StepSeconds, _defects.SnagShare) + SpliceTorque() + _hand.Grip(_roll);
        double turned = _drive.Step(StepSeconds, _controller.CommandMetersPerSecond, _roll, torque, _defects);
        if (_hand.IsBusy)
            turned += _hand.Step(StepSeconds, StoredPercent, _roll);
        _turnedByHolding = _holding.IsHolding
            ? _holding.Step(StepSeconds, StoredPercent, _dancer.StorageMeters, _roll)
            : 0;
        turned += _turnedByHolding;

        _given = _roll.Turn(turned, _defects.EccentricityMeters);
        _drawnNow = _dancer.Step(StepSeconds, _given, Pull());
        _unwound += _given;
        _drawn += _drawnNow;
        if (_steps % StepsPerScan == 0)
            Scan();
    }

    /// <summary>Starts the machine; it ramps up. Nothing happens while it is tripped or in somebody's hands.</summary>
    public void Start() => _running = !_trip.IsTripped && !IsInHands;

    /// <summary>Stops the machine; it ramps down.</summary>
    public void Stop() => _running = false;

    /// <summary>
    /// The operator winds the dancer back to its target by hand, which takes a few seconds (<see cref="IsHandled"/>), and
    /// clears the trip. Nothing happens where nothing tripped. An empty roll must be changed first.
    /// </summary>
    public void ClearTrip()
    {
        if (!_trip.IsTripped)
            return;
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

    /// <summary>
    /// Locks the machine out, takes the dancer by hand to a place between its hard stops, and holds it there until
    /// <see cref="LetGo"/>; the machine must stand. The brake does what its linkage or valve does.
    /// </summary>
    /// <param name="fillPercent">-15 to 115.</param>
    /// <param name="percentPerSecond">How fast the hand moves, % of travel per second.</param>
    /// <exception cref="InvalidOperationException">The machine runs.</exception>
    public void HoldDancer(double fillPercent, double percentPerSecond = 8)
    {
        MustStand("take the dancer in your hand");
        MustExceed(0, percentPerSecond);
        double place = Math.Clamp(fillPercent, -Dancer.StopPercent, 100 + Dancer.StopPercent);
        _holding.Move(StoredPercent, place, percentPerSecond);
    }

    /// <summary>The hand lets go of the dancer, and the machine is no longer locked out.</summary>
    public void LetGo() => _holding.LetGo();

    /// <summary>Puts a new roll on; the machine must stand. Film in the accumulator stays.</summary>
    /// <exception cref="InvalidOperationException">The machine runs.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Not more than the core.</exception>
    public void ChangeRoll(double diameterMillimeters)
    {
        MustStand("change the roll");
        MustExceed(_machine.CoreDiameterMillimeters, diameterMillimeters);
        _roll.SetDiameter(diameterMillimeters / 1000);
    }

    /// <summary>Another bag and rate, at once; the storage must suit the bag, and the unwind the film speed.</summary>
    /// <exception cref="ArgumentOutOfRangeException">Bag or rate is not above 0.</exception>
    public void ChangeProduct(int product, double bagLengthMillimeters, double cyclesPerMinute)
    {
        MustExceed(0, bagLengthMillimeters);
        MustExceed(0, cyclesPerMinute);
        _product = product;
        _bagMillimeters = bagLengthMillimeters;
        _nominalCyclesPerMinute = cyclesPerMinute;
    }

    /// <summary>Another rate; the machine ramps to it.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The rate is not above 0.</exception>
    public void SetSpeed(double cyclesPerMinute)
    {
        MustExceed(0, cyclesPerMinute);
        _nominalCyclesPerMinute = cyclesPerMinute;
    }

    /// <summary>Somebody has worked at the machine: these are its faults from now on, in machine time.</summary>
    /// <param name="faults">None: it is as built. A roll that ends still does.</param>
    public void Mend(params IReadOnlyList<FaultSchedule> faults) => _faults = [.. faults];

    /// <summary>A splice comes off the roll: its tape grips for a moment.</summary>
    public void Splice() => _spliceSecondsLeft = SpliceSeconds;

    private bool IsInHands => _hand.IsBusy || _holding.IsHolding;

    private double StoredPercent => 100 * _dancer.StoredMeters / _dancer.StorageMeters;

    private void MustStand(string what)
    {
        if (_running || _draw.CyclesPerSecond > 0)
            throw new InvalidOperationException($"The machine runs: stop it before you {what}.");
    }

    private static void MustExceed(
        double least,
        double value,
        [CallerArgumentExpression(nameof(value))] string name = ""
    )
    {
        if (!(value > least) || double.IsInfinity(value))
            throw new ArgumentOutOfRangeException(name, value, $"Allowed: finite and above {least}.");
    }

    private double SpliceTorque()
    {
        if (_spliceSecondsLeft <= 0)
            return 0;
        _spliceSecondsLeft -= StepSeconds;
        return _machine.DriveTorqueNewtonMeters * SpliceTorqueShare;
    }

    private double Pull() =>
        StepSeconds
        * _draw.Step(
            StepSeconds,
            _nominalCyclesPerMinute / 60 / _defects.BagFactor,
            _bagMillimeters / 1000 * _defects.BagFactor,
            _running,
            _trip.IsTripped
        );

    private void Scan()
    {
        _defects = Defects.None(_machine);
        for (int i = 0; i < _faults.Count; i++)
            _defects.Add(_faults[i].Fault, _faults[i].At(TimeSeconds), _machine);

        int gap = _sensor.Sample(_dancer.Percent, ScanSeconds, _defects);
        double line = _draw.CyclesPerSecond * _bagMillimeters / 1000 * _defects.BagFactor;
        _controller.Scan(gap, line, off: _trip.IsTripped || IsInHands, ScanSeconds, _defects);
        // A dancer moved by hand trips nothing: the machine stands and its unwind is off.
        if (!IsInHands && (_running || _drive.RadiansPerSecond > 0))
            _trip.Scan(_controller.FillPercent, _dancer.Percent, ScanSeconds);
        if (_trip.IsTripped)
            _running = false;
        _pickup.Scan(
            ScanSeconds,
            (_unwound - _unwoundAtScan) / ScanSeconds,
            (_drive.RadiansPerSecond + (_turnedByHolding / StepSeconds)) * _roll.DiameterMeters / 2
        );
        _unwoundAtScan = _unwound;
        _edge.Scan(_drawn - _drawnAtScan, _roll.DiameterMeters, _dancer.Percent);
        _drawnAtScan = _drawn;

        Image = new ControllerImage
        {
            GapCounts = gap,
            UnwindSpeed = _pickup.MetersPerMinute,
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
            EdgePosition = _edge.Millimeters,
            Product = _product,
        };
    }
}
