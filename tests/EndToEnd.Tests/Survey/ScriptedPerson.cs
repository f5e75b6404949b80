using Dancerwatch.EdgeAgent.Survey;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.EndToEnd.Tests.Survey;

/// <summary>
/// A person who does what the guide says, with the virtual machine's dancer and buttons, and keeps what he is doubted for. What
/// he does while a step is read is planned, and done as time passes.
/// </summary>
internal sealed class ScriptedPerson(VirtualDancer machine, SteppedTime time) : ISurveyPerson
{
    private static readonly TimeSpan s_moment = TimeSpan.FromMilliseconds(100);

    private readonly Queue<(double WaitSeconds, Action Do)> _plan = new();
    private double _waited;

    /// <summary>Fill at which he holds the dancer when asked for full, empty, half way.</summary>
    public double Full { get; init; } = 100;

    /// <inheritdoc cref="Full"/>
    public double Empty { get; init; }

    /// <summary>Does something else at a step; false: does as he is told.</summary>
    public Func<SurveyStep, bool> Instead { get; init; } = static _ => false;

    /// <summary>Answers something else; null: as usual.</summary>
    public Func<SurveyStep, bool, Answer?> Answers { get; init; } = static (_, _) => null;

    public List<string> Told { get; } = [];
    public List<(SurveyStep Step, string Text)> Doubts { get; } = [];

    /// <summary>The step under way.</summary>
    public SurveyStep? Step { get; private set; }

    /// <summary>Call as time passes.</summary>
    public void Act(double seconds)
    {
        _waited += seconds;
        if (_plan.TryPeek(out var next) && _waited >= next.WaitSeconds && !IsMoving)
        {
            _plan.Dequeue();
            _waited = 0;
            next.Do();
        }
    }

    public void Tell(string text) => Told.Add(text);

    public void Show(string progress) { }

    public ValueTask<bool> PromisesAsync(IReadOnlyList<string> cautions, CancellationToken cancellation) =>
        ValueTask.FromResult(true);

    public ValueTask<Answer> AskAsync(
        SurveyStep step,
        string text,
        bool isDoubt,
        bool mayKeep,
        CancellationToken cancellation
    )
    {
        Step = step;
        if (isDoubt)
            Doubts.Add((step, text));
        if (Answers(step, isDoubt) is { } answer)
            return ValueTask.FromResult(answer);
        if (isDoubt)
            return ValueTask.FromResult(mayKeep ? Answer.Keep : Answer.LeaveOut);
        _plan.Clear();
        if (!Instead(step))
            Do(step);
        _waited = 0;
        return ValueTask.FromResult(Answer.Go);
    }

    /// <summary>Brings the dancer there and rests it.</summary>
    public void Bring(double fill)
    {
        StandStill();
        machine.HoldDancer(fill);
        while (IsMoving)
            time.Pass(s_moment);
        time.Pass(TimeSpan.FromSeconds(1));
    }

    private bool IsMoving => machine.Image is { Running: false } && machine.IsBeingMoved;

    private void Do(SurveyStep step)
    {
        switch (step)
        {
            case SurveyStep.HoldFull:
                Bring(Full);
                break;
            case SurveyStep.HoldHalfFromAbove:
                Bring(Full);
                Bring(50);
                break;
            case SurveyStep.HoldEmpty:
                Bring(Empty);
                break;
            case SurveyStep.HoldHalfFromBelow:
                Bring(Empty);
                Bring(50);
                break;
            case SurveyStep.Travel:
                Bring(Empty < Full ? -15 : 115);
                Bring(-15);
                _plan.Enqueue((0.5, () => machine.HoldDancer(115, 7)));
                _plan.Enqueue((1, () => machine.HoldDancer(-15, 7)));
                break;
            case SurveyStep.StartFromEmpty or SurveyStep.StartFromFull:
                Bring(step == SurveyStep.StartFromEmpty ? Empty : Full);
                _plan.Enqueue((0.5, Start));
                break;
            case SurveyStep.Run:
                if (!machine.Image.Running)
                    Bring(50);
                Start();
                time.Pass(TimeSpan.FromSeconds(15));
                break;
            case SurveyStep.Stop:
                Start();
                _plan.Enqueue((14, machine.Stop));
                break;
        }
    }

    private void Start()
    {
        machine.LetGo();
        ClearTrip();
        machine.Start();
    }

    private void ClearTrip()
    {
        machine.ClearTrip();
        while (machine.IsHandled)
            time.Pass(s_moment);
    }

    private void StandStill()
    {
        machine.Stop();
        ClearTrip();
        while (machine.Image.LineSpeed > 0)
            time.Pass(s_moment);
    }
}
