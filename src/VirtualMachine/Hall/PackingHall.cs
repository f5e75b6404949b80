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

    public PackingHall(IReadOnlyList<HallMachine> machines, TimeProvider time)
    {
        _time = time;
        _machines = [.. machines];
        _dancers =
        [
            .. machines.Select((machine, i) => new VirtualDancer(machine.Machine, i, machine.Faults)),
        ];
        _tags = [.. machines.Select(machine => new MachineTags(_table, machine.TagStructure))];
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

    private void AdvanceTo(double seconds)
    {
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
            if (RestartAfter != Timeout.InfiniteTimeSpan)
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
