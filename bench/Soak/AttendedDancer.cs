using Dancerwatch.VirtualMachine.FilmPath;
using Dancerwatch.VirtualMachine.Hall;

namespace Dancerwatch.Soak;

/// <summary>A virtual machine with somebody beside it: who starts it again after a trip, and changes a roll before it ends.</summary>
internal sealed class AttendedDancer
{
    private const double RestartSeconds = 20;
    private const double ChangeSeconds = 40;
    private const double ChangeAtMetersLeft = 15;
    private readonly VirtualDancer _dancer;
    private readonly double _fullRoll;
    private double _stoodSeconds;

    public AttendedDancer(HallMachine machine, int seed)
    {
        _dancer = new VirtualDancer(machine.Machine, seed, machine.Faults);
        _fullRoll = machine.Machine.RollDiameterMillimeters;
        _dancer.Start();
    }

    public int Trips { get; private set; }
    public int Rolls { get; private set; }

    /// <summary>What the controller knows so much later.</summary>
    public ControllerImage Next(double seconds)
    {
        bool wasTripped = _dancer.IsTripped;
        _dancer.Advance(seconds);
        Trips += _dancer.IsTripped && !wasTripped ? 1 : 0;
        _stoodSeconds = _dancer.Image.Running ? 0 : _stoodSeconds + seconds;
        bool isRollEnding = _dancer.Truth.RollMeters < ChangeAtMetersLeft;
        if (_dancer.IsTripped)
        {
            if (_stoodSeconds >= RestartSeconds)
                _dancer.ClearTrip();
        }
        else if (isRollEnding)
        {
            _dancer.Stop();
            if (_stoodSeconds >= ChangeSeconds)
                ChangeRoll();
        }
        else if (!_dancer.Image.Running && !_dancer.IsHandled)
            _dancer.Start();
        return _dancer.Image;
    }

    private void ChangeRoll()
    {
        _dancer.ChangeRoll(_fullRoll);
        Rolls++;
    }
}
