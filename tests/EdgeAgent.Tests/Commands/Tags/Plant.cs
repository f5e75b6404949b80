using System.Net;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.Signals.Readings;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.FilmPath;
using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.EdgeAgent.Tests.Commands.Tags;

/// <summary>
/// A controller as plants have them: machines that run, each named by another programmer, and hundreds of tags that have
/// nothing to do with an unwind, or nearly so.
/// </summary>
internal sealed class Plant : IAsyncDisposable
{
    private static readonly TimeSpan s_scan = TimeSpan.FromMilliseconds(10);
    private static readonly MachineParameters s_machine = new()
    {
        CyclesPerMinute = 60,
        BagLengthMillimeters = 220,
        RollDiameterMillimeters = 360,
        MaximumUnwindMetersPerMinute = 26,
    };

    private readonly TagTable _table = new();
    private readonly List<(VirtualDancer Dancer, List<Action<ControllerImage>> Tags)> _machines = [];
    private readonly CancellationTokenSource _stop = new();
    private readonly Dictionary<string, Dictionary<Signal, TagRequest>> _truth = [];
    private List<Action<ControllerImage>> _tags = [];
    private Dictionary<Signal, TagRequest> _its = [];
    private Task _running = Task.CompletedTask;

    public Plant() =>
        Controller = new ControllerServer(_table, new ControllerServerOptions(), TimeProvider.System);

    public ControllerServer Controller { get; }

    /// <summary>By machine, as it is to be called: which tag is which signal.</summary>
    public Dictionary<string, Dictionary<Signal, TagRequest>> Truth => _truth;

    /// <summary>The tags that follow belong to one machine, which runs.</summary>
    public void Machine(string name)
    {
        VirtualDancer dancer = new(s_machine, seed: _machines.Count);
        dancer.Start();
        dancer.Advance(5);
        _tags = [];
        _machines.Add((dancer, _tags));
        _truth[name] = _its = [];
    }

    /// <summary>One of the machine's signals.</summary>
    /// <param name="perUnit">The tag's value for one unit of the signal.</param>
    public void Has(Signal signal, string tag, TagType type, double perUnit = 1)
    {
        _its[signal] = new TagRequest(tag, type);
        Shows(tag, type, image => Of(signal, image) * perUnit);
    }

    /// <summary>A tag of the machine that is no signal of ours, or not the one to take.</summary>
    public void Shows(string tag, TagType type, Func<ControllerImage, double> value)
    {
        int at = tag.IndexOf('[', StringComparison.Ordinal);
        if (at >= 0)
        {
            (string name, int element) = (tag[..at], int.Parse(tag[(at + 1)..^1], null));
            const int Length = 8;
            if (type == TagType.Real)
            {
                TagArray<float> reals = _table.AddReals(name, Length);
                _tags.Add(image => reals[element] = (float)value(image));
            }
            else
            {
                TagArray<short> ints = _table.AddInts(name, Length);
                _tags.Add(image => ints[element] = (short)value(image));
            }
        }
        else if (type == TagType.Real)
            Add(_table.AddReal(tag), image => (float)value(image));
        else if (type == TagType.Int)
            Add(_table.AddInt(tag), image => (short)value(image));
        else if (type == TagType.Dint)
            Add(_table.AddDint(tag), image => (int)value(image));
        else
            Add(_table.AddBool(tag), image => value(image) != 0);
    }

    /// <summary>Tags of the rest of the plant, which move, too.</summary>
    public void Other(string tag, TagType type, double mean, double swing) =>
        Shows(tag, type, image => mean + (swing * Math.Sin(image.GapCounts / 50.0)));

    public void Text(string tag, string text) => _table.AddString(tag).Value = text;

    public void Begin()
    {
        Scan(seconds: 0);
        Controller.Start(new IPEndPoint(IPAddress.Loopback, 0));
        _running = RunAsync();
    }

    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync();
        await _running;
        await Controller.DisposeAsync();
        _stop.Dispose();
    }

    private async Task RunAsync()
    {
        using PeriodicTimer timer = new(s_scan);
        try
        {
            while (await timer.WaitForNextTickAsync(_stop.Token))
                Scan(s_scan.TotalSeconds);
        }
        catch (OperationCanceledException) { }
    }

    private void Scan(double seconds)
    {
        foreach ((VirtualDancer dancer, _) in _machines)
            dancer.Advance(seconds);
        using (_table.BeginScan())
        {
            foreach ((VirtualDancer dancer, List<Action<ControllerImage>> tags) in _machines)
                tags.ForEach(tag => tag(dancer.Image));
        }
    }

    private void Add<T>(TagCell<T> cell, Func<ControllerImage, T> value) =>
        _tags.Add(image => cell.Value = value(image));

    private static double Of(Signal signal, ControllerImage image) =>
        signal switch
        {
            Signal.Gap => image.GapCounts,
            Signal.UnwindSpeed => image.UnwindSpeed,
            Signal.UnwindCommand => image.UnwindCommand,
            Signal.LineSpeed => image.LineSpeed,
            Signal.CycleRate => image.CycleRate,
            Signal.Running => image.Running ? 1 : 0,
            Signal.TargetFill => image.TargetFill,
            Signal.GapAtFull => image.GapAtFull,
            Signal.GapAtEmpty => image.GapAtEmpty,
            Signal.FullSideTrip => image.FullSideTrip ? 1 : 0,
            Signal.EmptySideTrip => image.EmptySideTrip ? 1 : 0,
            Signal.BrakeOn => image.BrakeOn ? 1 : 0,
            Signal.RollDiameter => image.RollDiameter,
            Signal.EdgePosition => image.EdgePosition,
            Signal.Product => image.Product,
            _ => throw new ArgumentOutOfRangeException(nameof(signal), signal, "not shown"),
        };
}
