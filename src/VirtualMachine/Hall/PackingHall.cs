using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.FilmPath;
using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.VirtualMachine.Hall;

/// <summary>Machines that run in real time beside each other, their tags served by one controller over EtherNet/IP.</summary>
public sealed class PackingHall
{
    private static readonly TimeSpan s_scan = TimeSpan.FromMilliseconds(10);

    private readonly TimeProvider _time;
    private readonly TagTable _table = new();
    private readonly HallMachine[] _machines;
    private readonly VirtualDancer[] _dancers;
    private readonly MachineTags[] _tags;
    private readonly double[] _trippedAt;

    /// <param name="machines">Running from the beginning.</param>
    /// <param name="time">The hall's clock.</param>
    /// <param name="seed">Of the first machine's noise; the others count on from it.</param>
    public PackingHall(IReadOnlyList<HallMachine> machines, TimeProvider time, int seed = 0)
    {
        _time = time;
        _machines = [.. machines];
        _dancers =
        [
            .. machines.Select((machine, i) => new VirtualDancer(machine.Machine, seed + i, machine.Faults)),
        ];
        _tags =
        [
            .. machines.Select(machine => new MachineTags(
                _table,
                machine.TagStructure,
                machine.Machine.Brake == BrakeKind.Air
            )),
        ];
        _trippedAt = new double[_dancers.Length];
        Controller = new ControllerServer(_table, new ControllerServerOptions(), time);
        foreach (VirtualDancer dancer in _dancers)
            dancer.Start();
        Show();
    }

    /// <summary>Serves the tags once started.</summary>
    public ControllerServer Controller { get; }

    /// <summary>
    /// How long after a trip the operator winds the dancer back, clears the trip and starts again; infinite: never. What
    /// was wrong still is.
    /// </summary>
    public TimeSpan RestartAfter { get; init; } = Timeout.InfiniteTimeSpan;

    /// <summary>Called on the hall's own loop as a machine trips.</summary>
    public Action<HallTrip> Tripped { get; init; } = static _ => { };

    /// <summary>Called on the hall's own loop between two steps, when machines may be worked at.</summary>
    public Action Hands { get; init; } = static () => { };

    /// <summary>Place of a machine that nobody starts, or clears trips of, but who works at it; null for none.</summary>
    public int? LeftToHands { get; init; }

    /// <summary>One of the machines, by its place, to be worked at between two steps of the hall: never while it takes one.</summary>
    public VirtualDancer MachineAt(int place) => _dancers[place];

    /// <summary>Runs the machines until <paramref name="cancellation"/>; then returns.</summary>
    public async Task RunAsync(CancellationToken cancellation)
    {
        long start = _time.GetTimestamp();
        using PeriodicTimer timer = new(s_scan, _time);
        try
        {
            while (await timer.WaitForNextTickAsync(cancellation))
                AdvanceTo(_time.GetElapsedTime(start).TotalSeconds);
        }
        catch (OperationCanceledException) when (cancellation.IsCancellationRequested) { }
    }

    /// <summary>
    /// Takes the machines to a time and shows their tags. For who has a clock of his own; not while <see cref="RunAsync"/> runs.
    /// </summary>
    /// <param name="seconds">Hall time, s; nothing happens for times that have been.</param>
    public void AdvanceTo(double seconds)
    {
        Hands();
        for (int i = 0; i < _dancers.Length; i++)
        {
            VirtualDancer dancer = _dancers[i];
            bool tripped = dancer.IsTripped;
            dancer.Advance(seconds - dancer.TimeSeconds);
            if (dancer.IsTripped && !tripped)
            {
                _trippedAt[i] = dancer.TimeSeconds;
                Tripped(new HallTrip(_machines[i].Name, dancer.Image.FullSideTrip, dancer.TimeSeconds));
            }
            if (RestartAfter != Timeout.InfiniteTimeSpan && i != LeftToHands)
                Attend(dancer, dancer.TimeSeconds - _trippedAt[i]);
        }
        Show();
    }

    private void Attend(VirtualDancer dancer, double secondsSinceTrip)
    {
        if (dancer.IsTripped && secondsSinceTrip >= RestartAfter.TotalSeconds)
            dancer.ClearTrip();
        else if (!dancer.IsTripped && !dancer.IsHandled && !dancer.Image.Running)
            dancer.Start();
    }

    private void Show()
    {
        using (_table.BeginScan())
        {
            for (int i = 0; i < _dancers.Length; i++)
                _tags[i].Show(_dancers[i].Image);
        }
    }
}
