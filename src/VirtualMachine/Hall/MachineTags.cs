using Dancerwatch.VirtualMachine.FilmPath;
using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.VirtualMachine.Hall;

/// <summary>One machine's tags in the controller: a structure whose members follow its film path.</summary>
/// <param name="table">Of the controller.</param>
/// <param name="structure">Name of the structure, e.g. <c>Tea1</c>.</param>
/// <param name="hasAir">Its brake is worked by air, hence it knows a pressure.</param>
internal sealed class MachineTags(TagTable table, string structure, bool hasAir)
{
    private readonly TagCell<short> _dancerGap = table.AddInt($"{structure}.DancerGap");
    private readonly TagCell<float> _unwindSpeed = table.AddReal($"{structure}.UnwindSpeed");
    private readonly TagCell<float> _unwindCommand = table.AddReal($"{structure}.UnwindCommand");
    private readonly TagCell<float> _lineSpeed = table.AddReal($"{structure}.LineSpeed");
    private readonly TagCell<float> _cycleRate = table.AddReal($"{structure}.CycleRate");
    private readonly TagCell<bool> _running = table.AddBool($"{structure}.Running");
    private readonly TagCell<float> _targetFill = table.AddReal($"{structure}.TargetFill");
    private readonly TagCell<short> _gapAtFull = table.AddInt($"{structure}.GapAtFull");
    private readonly TagCell<short> _gapAtEmpty = table.AddInt($"{structure}.GapAtEmpty");
    private readonly TagCell<bool> _fullSideTrip = table.AddBool($"{structure}.FullSideTrip");
    private readonly TagCell<bool> _emptySideTrip = table.AddBool($"{structure}.EmptySideTrip");
    private readonly TagCell<bool> _brakeOn = table.AddBool($"{structure}.BrakeOn");
    private readonly TagCell<float>? _brakePressure = hasAir
        ? table.AddReal($"{structure}.BrakePressure")
        : null;
    private readonly TagCell<float> _rollDiameter = table.AddReal($"{structure}.RollDiameter");
    private readonly TagCell<float> _edgePosition = table.AddReal($"{structure}.EdgePosition");
    private readonly TagCell<int> _product = table.AddDint($"{structure}.Product");

    /// <summary>Call within a scan of the table.</summary>
    public void Show(in ControllerImage image)
    {
        _dancerGap.Value = (short)image.GapCounts;
        _unwindSpeed.Value = (float)image.UnwindSpeed;
        _unwindCommand.Value = (float)image.UnwindCommand;
        _lineSpeed.Value = (float)image.LineSpeed;
        _cycleRate.Value = (float)image.CycleRate;
        _running.Value = image.Running;
        _targetFill.Value = (float)image.TargetFill;
        _gapAtFull.Value = (short)image.GapAtFull;
        _gapAtEmpty.Value = (short)image.GapAtEmpty;
        _fullSideTrip.Value = image.FullSideTrip;
        _emptySideTrip.Value = image.EmptySideTrip;
        _brakeOn.Value = image.BrakeOn;
        _brakePressure?.Value = (float)image.BrakePressure;
        _rollDiameter.Value = (float)image.RollDiameter;
        _edgePosition.Value = (float)image.EdgePosition;
        _product.Value = image.Product;
    }
}
