using System.Collections.Concurrent;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.EdgeAgent.Demo;

/// <summary>
/// A hand at a virtual machine that does what it is told a word at a time, so that a survey can be tried without a machine. Words
/// come from one thread; all that is done is done on the hall's own loop.
/// </summary>
/// <param name="machine">Its name.</param>
/// <param name="say">Tells what was done.</param>
internal sealed class SimulatedHand(string machine, Action<string> say)
{
    /// <summary>How long it waits at the stop at empty before it goes up: time to begin the survey's step.</summary>
    public const double ReadySeconds = 10;

    /// <summary>From stop to stop in under 20 s, as the survey asks for.</summary>
    private const double TravelPercentPerSecond = 7;

    private const double RestSeconds = 1;

    // Past the ends as far as the dancer goes; it is held back by its stops.
    private const double EmptyStop = -15;
    private const double FullStop = 115;

    public static readonly IReadOnlyList<string> Words = ["full", "half", "empty", "travel", "run", "stop"];

    private readonly ConcurrentQueue<string> _words = new();
    private readonly Queue<(Func<bool> Until, Action Do)> _plan = new();
    private VirtualDancer? _dancer;

    public string Machine { get; } = machine;

    /// <summary>Stops the machine and works at it from now on. Before the hall runs.</summary>
    public void TakeOver(VirtualDancer dancer)
    {
        _dancer = dancer;
        dancer.Stop();
    }

    /// <summary>Takes a word from each line until there is none.</summary>
    public async Task ListenAsync(TextReader input, CancellationToken cancellation)
    {
        while (await input.ReadLineAsync(cancellation) is { } line)
            Tell(line);
    }

    public void Tell(string line)
    {
        string word = line.Trim();
        if (Words.Contains(word))
            _words.Enqueue(word);
        else if (word.Length > 0)
            say($"\"{word}\" is no word the hand knows. Allowed: {string.Join(", ", Words)}. Try full.");
    }

    /// <summary>Does what is due. Between two steps of the hall.</summary>
    public void Act()
    {
        if (_dancer is not { } dancer)
            return;
        if (_words.TryDequeue(out string? word))
        {
            // A new word goes before what was not done yet.
            _plan.Clear();
            Plan(word, dancer);
        }
        while (_plan.TryPeek(out var next) && next.Until())
        {
            _plan.Dequeue();
            next.Do();
        }
    }

    private void Plan(string word, VirtualDancer dancer)
    {
        switch (word)
        {
            case "full":
                Hold(dancer, 100, "held at full");
                break;
            case "half":
                Hold(dancer, 50, "held half way");
                break;
            case "empty":
                Hold(dancer, 0, "held at empty");
                break;
            case "travel":
                Hold(
                    dancer,
                    EmptyStop,
                    $"at the stop at empty; in {ReadySeconds} s it goes up to the other and back"
                );
                Wait(dancer, ReadySeconds, () => dancer.HoldDancer(FullStop, TravelPercentPerSecond));
                Then(() => dancer.IsHeld, () => Say("at the stop at full"));
                Wait(dancer, RestSeconds, () => dancer.HoldDancer(EmptyStop, TravelPercentPerSecond));
                Then(() => dancer.IsHeld, () => Say("back at the stop at empty"));
                break;
            case "run":
                dancer.LetGo();
                dancer.ClearTrip();
                Then(() => !dancer.IsHandled, dancer.Start);
                Then(() => dancer.Image.Running, () => Say("runs"));
                break;
            default:
                dancer.Stop();
                Then(() => Stands(dancer), () => Say("stands"));
                break;
        }
    }

    private void Hold(VirtualDancer dancer, double fill, string told)
    {
        dancer.Stop();
        dancer.ClearTrip();
        Then(() => Stands(dancer), () => dancer.HoldDancer(fill));
        Then(() => dancer.IsHeld, () => Say(told));
    }

    /// <summary>Once what comes before is done, and so long after.</summary>
    private void Wait(VirtualDancer dancer, double seconds, Action then)
    {
        double until = double.PositiveInfinity;
        Then(() => true, () => until = dancer.TimeSeconds + seconds);
        Then(() => dancer.TimeSeconds >= until, then);
    }

    private void Then(Func<bool> until, Action act) => _plan.Enqueue((until, act));

    private void Say(string what) => say($"{Machine}: {what}.");

    private static bool Stands(VirtualDancer dancer) =>
        dancer is { IsHandled: false, Image: { Running: false, LineSpeed: 0 } };
}
