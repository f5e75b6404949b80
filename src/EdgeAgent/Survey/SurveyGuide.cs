using System.Globalization;
using Dancerwatch.Signals.Survey.Findings;
using Dancerwatch.Signals.Survey.Results;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.EdgeAgent.Survey;

/// <summary>
/// Leads a person through a survey, step by step, from wherever the record stands; saves it after each. Reads only: where a
/// value must change, it says what a person enters at the machine's own panel.
/// </summary>
/// <param name="save">Keeps the record; called after each step.</param>
internal sealed class SurveyGuide(
    SurveyRecord record,
    LiveReadings readings,
    ISurveyPerson person,
    TimeProvider time,
    Action<SurveyRecord> save
)
{
    private static readonly HashSet<SurveyStep> s_running =
    [
        SurveyStep.StartFromEmpty,
        SurveyStep.Run,
        SurveyStep.Stop,
        SurveyStep.StartFromFull,
    ];

    private readonly StepTaker _taker = new(readings, person);
    private bool _isUnsaved;

    /// <summary>The record as it stands.</summary>
    public SurveyRecord Record { get; private set; } = record;

    /// <returns>True: finished. False: left, to be gone on with.</returns>
    /// <exception cref="IOException">At the end the record could not be saved.</exception>
    public async ValueTask<bool> RunAsync(CancellationToken cancellation)
    {
        Introduce();
        if (!await person.PromisesAsync(StepText.Cautions(Record.Known.Brake), cancellation))
        {
            person.Tell("Nothing was done.");
            return false;
        }
        while (Record.Next is { } step)
        {
            if (s_running.Contains(step) && Halts() is { Count: > 0 } halts)
            {
                person.Tell("\nThe machine must not run like this, so the running steps are left out:");
                foreach (SurveyFinding halt in halts)
                    person.Tell($"  - {halt.Text}");
                Keep(Record with { LeftOut = [.. Record.LeftOut, .. s_running] });
                break;
            }
            if (!await TakeAsync(step, cancellation))
            {
                SaveAtLast();
                person.Tell("\nWhat was measured is kept. The same command goes on from here.");
                return false;
            }
        }
        Keep(Record with { Finished = time.GetUtcNow() });
        SaveAtLast();
        return true;
    }

    private void Introduce()
    {
        string kind = Record.Kind == SurveyKind.AsFound ? "as found" : "as left";
        person.Tell($"Survey of {Record.Machine}, {kind}. It only reads.");
        string[] taken = [.. Enum.GetValues<SurveyStep>().Where(Record.IsTaken).Select(StepText.Title)];
        if (taken.Length > 0)
            person.Tell($"Measured already: {string.Join(", ", taken)}.");
    }

    // False: the person leaves.
    private async ValueTask<bool> TakeAsync(SurveyStep step, CancellationToken cancellation)
    {
        string title = StepText.Title(step);
        Answer answer = await person.AskAsync(
            step,
            $"{(int)step + 1}. {title}\n{StepText.Instruction(step, Record.Known.Brake)}",
            isDoubt: false,
            mayKeep: false,
            cancellation
        );
        while (answer == Answer.Go)
        {
            StepOutcome outcome = await _taker.TakeAsync(step, Record.Measures, Record.Known, cancellation);
            if (outcome.Measures is not null && outcome.Doubt is null)
            {
                Accept(step, outcome.Measures);
                return true;
            }
            answer = await person.AskAsync(
                step,
                outcome.Doubt ?? "Nothing was measured.",
                isDoubt: true,
                mayKeep: outcome.Measures is not null,
                cancellation
            );
            if (answer == Answer.Keep)
            {
                Accept(step, outcome.Measures!);
                return true;
            }
        }
        if (answer == Answer.Leave)
            return false;
        Keep(Record with { LeftOut = [.. Record.LeftOut, step] });
        return true;
    }

    private void Accept(SurveyStep step, SurveyMeasures measures)
    {
        person.Tell(Taken(step, measures));
        Keep(Record with { Measures = measures });
        if (step == SurveyStep.Travel && SurveyResult.Of(measures, Record.Known).HoldsAreSwapped)
        {
            person.Tell(
                "\nFilm came in while the gap went from the one held as full to the one held as empty: full and empty were mistaken for each other. The holds are taken once more."
            );
            Keep(Record with { Measures = new SurveyMeasures(), LeftOut = [] });
        }
    }

    private void Keep(SurveyRecord next)
    {
        SurveyResult result = SurveyResult.Of(next.Measures, next.Known);
        Record = next with
        {
            Results = ResultRows.Recorded(result, next.Known),
            Findings = SurveyFindings.Of(result, next.Measures, next.Known),
        };
        try
        {
            save(Record);
            _isUnsaved = false;
        }
        catch (IOException e)
        {
            // The machine may be in somebody's hands: what is measured stays in memory, and is saved with the next step.
            _isUnsaved = true;
            person.Tell($"It could not be saved: {e.Message} It is tried again after the next step.");
        }
    }

    // For the last time: now whoever called must know.
    private void SaveAtLast()
    {
        if (_isUnsaved)
            save(Record);
    }

    private IReadOnlyList<SurveyFinding> Halts() =>
        [.. Record.Findings.Where(finding => finding.Weight == FindingWeight.Halt)];

    private static string Taken(SurveyStep step, SurveyMeasures measures)
    {
        Hold? hold = step switch
        {
            SurveyStep.HoldFull => measures.Full,
            SurveyStep.HoldHalfFromAbove => measures.HalfFromAbove,
            SurveyStep.HoldEmpty => measures.Empty,
            SurveyStep.HoldHalfFromBelow => measures.HalfFromBelow,
            _ => null,
        };
        return hold is null
            ? "Taken."
            : string.Create(
                CultureInfo.InvariantCulture,
                $"Taken: gap {hold.Gap.Value:0.0} ± {hold.Gap.Plus:0.0}."
            );
    }
}
