using Dancerwatch.Bench.WarningQuality.Scenarios;
using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.WarningQuality.Runs;

/// <summary>
/// The machine's people: they start and stop it, change rolls before they end, wind the dancer back after a trip and start
/// again. What they do to the machine they do to its healthy twin.
/// </summary>
/// <param name="scenario">Their day.</param>
/// <param name="machine">What they work at.</param>
/// <param name="dancer">The machine.</param>
/// <param name="random">Their moods.</param>
internal sealed class Crew(Scenario scenario, MachineParameters machine, VirtualDancer dancer, Random random)
{
    private const double ActSeconds = 0.25;
    private const double ChangeAtMetersLeft = 15;

    private double _nextAct;
    private double _stopAt = scenario.RunSeconds;
    private double _startAt = double.PositiveInfinity;
    private double _handsAt = double.PositiveInfinity;
    private double _trippedAt = double.NaN;
    private Action<Crew>? _atStandstill;

    /// <summary>The same machine without its fault; null once it no longer matters.</summary>
    public VirtualDancer? Twin { get; set; }

    /// <summary>What is wrong, and since when; null on a healthy machine.</summary>
    public FaultSchedule? Fault { get; set; }

    /// <summary>Somebody found what was wrong, s; infinity: nobody did.</summary>
    public double MendedAt { get; private set; } = double.PositiveInfinity;

    /// <summary>The machine was last started after a trip, s; negative infinity before the first.</summary>
    public double RestartedAt { get; private set; } = double.NegativeInfinity;

    public void Begin() => Both(d => d.Start());

    /// <summary>Does what is due.</summary>
    /// <returns>False where nothing can be done any more: the roll is empty.</returns>
    public bool Act()
    {
        double now = dancer.TimeSeconds;
        if (now < _nextAct)
            return true;
        _nextAct += ActSeconds;
        if (dancer.IsTripped)
            return Recover(now);
        if (!double.IsNaN(_trippedAt))
        {
            if (dancer.IsHandled)
                return true;
            dancer.Start();
            _trippedAt = double.NaN;
            RestartedAt = now;
            _stopAt = now + scenario.RunSeconds;
        }
        scenario.Day(this);
        if (
            dancer.Truth.RollMeters < ChangeAtMetersLeft
            && scenario.Fault != Dancerwatch.VirtualMachine.Faults.Fault.RollEnding
        )
            StopFor(now, c => c.ChangeRoll());
        if (now >= _stopAt)
            StopFor(now, null);
        if (now >= _handsAt)
        {
            _handsAt = double.PositiveInfinity;
            _atStandstill?.Invoke(this);
        }
        if (now >= _startAt)
        {
            Both(d => d.Start());
            _startAt = double.PositiveInfinity;
            _stopAt = now + (scenario.RunSeconds * (0.7 + (0.6 * random.NextDouble())));
        }
        return true;
    }

    /// <summary>Again and again.</summary>
    public void Every(double seconds, Action<Crew> act)
    {
        double now = dancer.TimeSeconds;
        if (now >= seconds && now % seconds < ActSeconds)
            act(this);
    }

    /// <summary>Stops the machine again and again for something that is done once it stands.</summary>
    public void StopEvery(double seconds, Action<Crew> act) =>
        Every(seconds, c => c.StopFor(dancer.TimeSeconds, act));

    public void ChangeRecipe()
    {
        double bag = machine.BagLengthMillimeters * (0.75 + (0.25 * random.NextDouble()));
        double rate = machine.CyclesPerMinute * (0.9 + (0.2 * random.NextDouble()));
        int product = random.Next(1, 9);
        Both(d => d.ChangeProduct(product, bag, rate));
    }

    public void ChangeRoll()
    {
        double diameter = machine.RollDiameterMillimeters * (0.9 + (0.1 * random.NextDouble()));
        Both(d => d.ChangeRoll(diameter));
    }

    public void ChangeSpeed()
    {
        double rate = machine.CyclesPerMinute * (0.7 + (0.4 * random.NextDouble()));
        Both(d => d.SetSpeed(rate));
    }

    public void Splice() => Both(d => d.Splice());

    public void MoveDancer()
    {
        int fill = random.Next(5, 100);
        Both(d => d.MoveDancerByHand(fill));
    }

    private void StopFor(double now, Action<Crew>? atStandstill)
    {
        if (!double.IsInfinity(_startAt))
            return;
        Both(d => d.Stop());
        _stopAt = double.PositiveInfinity;
        bool isShort = atStandstill is null;
        _atStandstill = atStandstill;
        _handsAt = isShort ? double.PositiveInfinity : now + 10;
        _startAt = now + (isShort ? 10 : 40) + (20 * random.NextDouble());
    }

    private bool Recover(double now)
    {
        if (double.IsNaN(_trippedAt))
            _trippedAt = now + 20 + (70 * random.NextDouble());
        if (now < _trippedAt)
            return true;
        if (dancer.Truth.RollMeters < 1)
            return false;
        _startAt = _handsAt = _stopAt = double.PositiveInfinity;
        dancer.ClearTrip();
        Mend(now);
        return true;
    }

    /// <summary>
    /// One crew in three finds what is wrong; one eases it (a brake knocked free, film threaded anew) and it comes back; one
    /// starts again and hopes.
    /// </summary>
    private void Mend(double now)
    {
        if (Fault is null)
            return;
        int luck = random.Next(3);
        if (luck == 0)
        {
            Fault = Fault with { StartSeconds = double.PositiveInfinity };
            MendedAt = now;
        }
        else if (luck == 1)
            Fault = Fault with { StartSeconds = now + 60, GrowthSeconds = Math.Max(Fault.GrowthSeconds, 60) };
        dancer.Mend(Fault);
    }

    private void Both(Action<VirtualDancer> act)
    {
        act(dancer);
        if (Twin is not null)
            act(Twin);
    }
}
