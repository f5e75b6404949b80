using System.Net;
using Dancerwatch.EdgeAgent;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Survey;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.VirtualMachine.FilmPath;
using Dancerwatch.VirtualMachine.Hall;
using Microsoft.Extensions.Logging.Abstractions;
using BrakeKind = Dancerwatch.VirtualMachine.FilmPath.BrakeKind;

namespace Dancerwatch.EndToEnd.Tests.Survey;

/// <summary>
/// A virtual machine that is surveyed: its tags really go over EtherNet/IP on loopback, its time leaps from poll to poll.
/// </summary>
internal sealed class SurveyedMachine : IAsyncDisposable
{
    private readonly SteppedTime _time = new();
    private readonly PackingHall _hall;
    private readonly MachineParameters _parameters;
    private readonly List<(SurveyStep? Step, double Seconds, FilmTruth Truth)> _truth = [];
    private double _seconds;

    public SurveyedMachine(
        MachineParameters parameters,
        int seed,
        Func<SurveyedMachine, ScriptedPerson>? person = null
    )
    {
        _parameters = parameters;
        _hall = new PackingHall([new("tea-1", "Tea1", parameters, [])], TimeProvider.System, seed);
        _hall.Controller.Start(new IPEndPoint(IPAddress.Loopback, 0));
        Dancer.Stop();
        Person = person?.Invoke(this) ?? new ScriptedPerson(Dancer, _time);
        _time.Passed = seconds =>
        {
            _hall.AdvanceTo(seconds);
            Person.Act(seconds - _seconds);
            _seconds = seconds;
            _truth.Add((Person.Step, seconds, Dancer.Truth));
        };
    }

    public VirtualDancer Dancer => _hall.MachineAt(0);
    public SteppedTime Time => _time;
    public ScriptedPerson Person { get; }

    /// <summary>Signals the survey may use.</summary>
    public IReadOnlyList<Signal> Signals { get; init; } =
    [
        Signal.Gap,
        Signal.UnwindSpeed,
        Signal.UnwindCommand,
        Signal.LineSpeed,
        Signal.CycleRate,
        Signal.Running,
        Signal.TargetFill,
        Signal.GapAtFull,
        Signal.GapAtEmpty,
        Signal.FullSideTrip,
        Signal.EmptySideTrip,
        Signal.BrakeOn,
        Signal.BrakePressure,
    ];

    /// <summary>The structure its tags are looked for in; the hall has <c>Tea1</c>.</summary>
    public string Prefix { get; init; } = "Tea1";

    /// <summary>Read without a network between.</summary>
    public bool IsDirect { get; init; }

    public Task UnplugAsync() => _hall.Controller.StopAsync();

    public WatchedMachineSettings Settings =>
        new()
        {
            Name = "tea-1",
            Line = "line-1",
            Controller = "packing-a",
            Signals =
            [
                .. Signals
                    .Where(signal => signal != Signal.BrakePressure || _parameters.Brake == BrakeKind.Air)
                    .Select(signal => new SignalSource(signal, TagOf(signal))),
            ],
            Machine = new MachineSettings
            {
                Fill = new FillSettings
                {
                    GapAtEmpty = 600,
                    GapAtFull = 3500,
                    OvertravelPercent = _parameters.OvertravelPercent,
                },
            },
        };

    public ControllerSettings Controller =>
        new()
        {
            Name = "packing-a",
            Host = "127.0.0.1",
            Port = _hall.Controller.EndPoint.Port,
        };

    /// <summary>Surveys it; saves nothing.</summary>
    public async Task<SurveyRecord> SurveyAsync(
        CancellationToken cancellation,
        Action<SurveyRecord>? save = null,
        SurveyRecord? from = null
    )
    {
        MonotonicClock clock = new(_time);
        IReadOnlyList<TagRequest> tags = ReadingSource.TagsOf([Settings]);
        ITagReader reader = IsDirect
            ? new ImageReader(Dancer, tags, clock)
            : TagReaders.Create(Controller, tags, clock, NullLoggerFactory.Instance);
        await using LiveReadings readings = new(Settings, reader, Controller.PollMilliseconds, clock);
        SurveyRecord record = await SurveyBeginning.LookAsync(
            readings,
            new("leafside", "tea-hall", Settings, SurveyKind.AsFound, "", Kind),
            _time,
            cancellation
        );
        SurveyGuide guide = new(from ?? record, readings, Person, _time, save ?? (static _ => { }));
        await guide.RunAsync(cancellation);
        return guide.Record;
    }

    /// <summary>
    /// Fill's swing within the mean of all cycles while it was watched running, %: folded by the cycle the machine was built
    /// with. A roll off its middle and a loop that trims move fill as well, at other rates, and cancel.
    /// </summary>
    public double TrueSwing()
    {
        // The step's name stands from the asking on, hence with the 15 s of settling.
        double end = _truth.Last(one => one.Step == SurveyStep.Run).Seconds;
        double cycle = 60 / _parameters.CyclesPerMinute;
        double[] cycles =
        [
            .. _truth
                .Where(one => one.Seconds > end - (cycle * Math.Floor(60 / cycle)) && one.Seconds <= end)
                .GroupBy(one => (int)(one.Seconds / cycle % 1 * 200))
                .Select(phase => phase.Average(one => one.Truth.FillPercent)),
        ];
        return cycles.Max() - cycles.Min();
    }

    public async ValueTask DisposeAsync() => await _hall.Controller.DisposeAsync();

    private Dancerwatch.Signals.Survey.Steps.BrakeKind Kind =>
        _parameters.Brake == BrakeKind.Air
            ? Dancerwatch.Signals.Survey.Steps.BrakeKind.Air
            : Dancerwatch.Signals.Survey.Steps.BrakeKind.SpringLinked;

    private TagRequest TagOf(Signal signal) =>
        signal switch
        {
            Signal.Gap => new($"{Prefix}.DancerGap", TagType.Int),
            Signal.GapAtFull or Signal.GapAtEmpty => new($"{Prefix}.{signal}", TagType.Int),
            Signal.Running or Signal.BrakeOn or Signal.FullSideTrip or Signal.EmptySideTrip => new(
                $"{Prefix}.{signal}",
                TagType.Bool
            ),
            _ => new($"{Prefix}.{signal}", TagType.Real),
        };
}
