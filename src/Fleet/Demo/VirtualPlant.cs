using System.Net;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;
using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.Fleet.Demo;

/// <summary>
/// Many controllers with one machine each, every one at a port of its own. Loops hunt in every third machine; and where asked,
/// each gap goes missing now and then for a second or two, so that conditions come and go all the time.
/// </summary>
internal sealed class VirtualPlant : IAsyncDisposable
{
    private static readonly TimeSpan s_scan = TimeSpan.FromMilliseconds(20);

    private readonly TimeProvider _time;
    private readonly TimeSpan? _restless;
    private readonly PlantMachine[] _machines;

    /// <param name="machines">How many.</param>
    /// <param name="restless">Mean time between two gaps that go missing; null: none does.</param>
    public VirtualPlant(int machines, TimeSpan? restless, TimeProvider time)
    {
        (_time, _restless) = (time, restless);
        _machines = [.. Enumerable.Range(1, machines).Select(number => new PlantMachine(number, time))];
    }

    /// <summary>Who polled each controller.</summary>
    public IEnumerable<PollTally> Tallies => _machines.Select(machine => machine.Tally);

    /// <summary>The first controller listens at this port, the others at those behind it.</summary>
    public void Start(IPAddress address, int firstPort)
    {
        for (int i = 0; i < _machines.Length; i++)
            _machines[i].Controller.Start(new IPEndPoint(address, firstPort + i));
    }

    /// <summary>Runs the machines until <paramref name="cancellation"/>; then returns.</summary>
    public async Task RunAsync(CancellationToken cancellation)
    {
        Random chance = new(1);
        long start = _time.GetTimestamp();
        double[] turnsAt =
        [
            .. _machines.Select(_ =>
                (_restless?.TotalSeconds ?? double.PositiveInfinity) * (1 + chance.NextDouble())
            ),
        ];
        using PeriodicTimer timer = new(s_scan, _time);
        try
        {
            while (await timer.WaitForNextTickAsync(cancellation))
            {
                double now = _time.GetElapsedTime(start).TotalSeconds;
                for (int i = 0; i < _machines.Length; i++)
                {
                    if (now >= turnsAt[i])
                    {
                        _machines[i].IsGapMissing = !_machines[i].IsGapMissing;
                        double mean = _machines[i].IsGapMissing ? 1 : _restless!.Value.TotalSeconds;
                        turnsAt[i] = now + mean * (0.5 + chance.NextDouble());
                    }
                    _machines[i].AdvanceTo(now);
                }
            }
        }
        catch (OperationCanceledException) when (cancellation.IsCancellationRequested) { }
    }

    public async ValueTask DisposeAsync()
    {
        foreach (PlantMachine machine in _machines)
            await machine.Controller.DisposeAsync();
    }

    private sealed class PlantMachine
    {
        private readonly TagTable _table = new();
        private readonly VirtualDancer _dancer;
        private readonly TagCell<float> _gap;
        private readonly TagCell<float> _unwindSpeed;
        private readonly TagCell<bool> _running;

        public PlantMachine(int number, TimeProvider time)
        {
            Tally = new PollTally($"packing-{number}", time);
            _gap = _table.AddReal("Tea.DancerGap");
            _unwindSpeed = _table.AddReal("Tea.UnwindSpeed");
            _running = _table.AddBool("Tea.Running");
            _dancer = new VirtualDancer(
                new MachineParameters(),
                seed: number,
                number % 3 == 0 ? [new FaultSchedule(Fault.LoopHunting, 5, 30, 1.0)] : []
            );
            _dancer.Start();
            Controller = new ControllerServer(
                _table,
                new ControllerServerOptions { Polled = Tally.Count },
                time
            );
            AdvanceTo(0);
        }

        public ControllerServer Controller { get; }

        public PollTally Tally { get; }

        public bool IsGapMissing { get; set; }

        public void AdvanceTo(double seconds)
        {
            _dancer.Advance(seconds - _dancer.TimeSeconds);
            if (_dancer.IsTripped)
                _dancer.ClearTrip();
            else if (!_dancer.Image.Running)
                _dancer.Start();
            using (_table.BeginScan())
            {
                _gap.Value = IsGapMissing ? float.NaN : _dancer.Image.GapCounts;
                _unwindSpeed.Value = (float)_dancer.Image.UnwindSpeed;
                _running.Value = _dancer.Image.Running;
            }
        }
    }
}
