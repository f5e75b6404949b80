using Dancerwatch.EdgeAgent.Survey;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Survey.Findings;
using Dancerwatch.Signals.Survey.Results;
using Dancerwatch.Signals.Survey.Steps;
using Dancerwatch.VirtualMachine.FilmPath;
using BrakeKind = Dancerwatch.VirtualMachine.FilmPath.BrakeKind;

namespace Dancerwatch.EndToEnd.Tests.Survey;

/// <summary>Machines that were set up wrongly, and what the survey says of them.</summary>
public sealed class WrongMachinesTests
{
    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;

    private static readonly Signal[] s_fewSignals =
    [
        Signal.Gap,
        Signal.UnwindSpeed,
        Signal.UnwindCommand,
        Signal.LineSpeed,
        Signal.CycleRate,
        Signal.GapAtFull,
        Signal.GapAtEmpty,
    ];

    private static readonly SurveyStep[] s_running =
    [
        SurveyStep.StartFromEmpty,
        SurveyStep.Run,
        SurveyStep.Stop,
        SurveyStep.StartFromFull,
    ];

    [Theory, InlineData(3101), InlineData(3102), InlineData(3103), InlineData(3104)]
    public async Task Ends_taught_the_wrong_way_round_are_told_and_the_machine_is_not_run(int seed)
    {
        MachineParameters machine = TwentyMachinesTests.Draw(seed);
        machine = machine with
        {
            TaughtGapAtFullCounts = machine.TaughtGapAtEmptyCounts,
            TaughtGapAtEmptyCounts = machine.TaughtGapAtFullCounts,
        };
        await using SurveyedMachine surveyed = new(machine, seed);

        SurveyRecord record = await surveyed.SurveyAsync(s_end);

        (SurveyStep step, string doubt) = Assert.Single(surveyed.Person.Doubts);
        Assert.Equal(SurveyStep.HoldFull, step);
        Assert.Contains("then the set points are swapped", doubt, StringComparison.Ordinal);
        SurveyFinding first = record.Findings[0];
        Assert.Equal(FindingWeight.Halt, first.Weight);
        Assert.StartsWith("The taught ends are swapped", first.Text, StringComparison.Ordinal);
        Assert.Contains(
            $"Enter {Math.Round(record.Measures.Full!.Gap.Value):0} as the gap at full",
            first.Text,
            StringComparison.Ordinal
        );
        Assert.Equal(s_running, record.LeftOut);
    }

    [Fact]
    public async Task A_person_who_takes_empty_for_full_is_told_by_the_film_and_asked_again()
    {
        int holds = 0;
        await using SurveyedMachine surveyed = new(
            TwentyMachinesTests.Draw(3105),
            3105,
            one => Mistaken(one, () => holds)
        );
        ScriptedPerson Mistaken(SurveyedMachine one, Func<int> taken)
        {
            ScriptedPerson? person = null;
            person = new ScriptedPerson(one.Dancer, one.Time)
            {
                Instead = step =>
                {
                    // Each end for the other, the first time; then he has understood.
                    if (step > SurveyStep.HoldHalfFromBelow || taken() >= 4)
                        return false;
                    holds++;
                    if (step is not (SurveyStep.HoldFull or SurveyStep.HoldEmpty))
                        return false;
                    person!.Bring(step == SurveyStep.HoldFull ? 0 : 100);
                    return true;
                },
            };
            return person;
        }

        SurveyRecord record = await surveyed.SurveyAsync(s_end);

        Assert.Contains(
            surveyed.Person.Told,
            told => told.Contains("mistaken for each other", StringComparison.Ordinal)
        );
        SurveyResult found = SurveyResult.Of(record.Measures, record.Known);
        Assert.False(found.IsSwapped || found.HoldsAreSwapped);
        Assert.NotNull(record.Finished);
        Assert.Empty(record.LeftOut);
    }

    [Theory, InlineData(3111), InlineData(3112), InlineData(3113), InlineData(3114)]
    public async Task A_sensor_that_meets_its_cam_is_told_and_the_machine_is_not_run(int seed)
    {
        // Mounted too near by so much that the face meets the cam 6 % of travel before the stop.
        MachineParameters machine = TwentyMachinesTests.Draw(seed);
        double span = Math.Abs(machine.GapAtFullCounts - machine.GapAtEmptyCounts);
        double near = Math.Min(machine.GapAtFullCounts, machine.GapAtEmptyCounts) - (0.09 * span);
        machine = machine with
        {
            GapAtFullCounts = machine.GapAtFullCounts - near,
            GapAtEmptyCounts = machine.GapAtEmptyCounts - near,
            TaughtGapAtFullCounts = double.NaN,
            TaughtGapAtEmptyCounts = double.NaN,
        };
        await using SurveyedMachine surveyed = new(machine, seed);

        SurveyRecord record = await surveyed.SurveyAsync(s_end);

        SurveyFinding first = record.Findings[0];
        Assert.Equal(FindingWeight.Halt, first.Weight);
        Assert.StartsWith("The sensor touches", first.Text, StringComparison.Ordinal);
        string side = machine.GapAtFullCounts < machine.GapAtEmptyCounts ? "near full" : "near empty";
        Assert.Contains(side, first.Text, StringComparison.Ordinal);
        Assert.Equal(s_running, record.LeftOut);
    }

    [Theory, InlineData(3131), InlineData(3132), InlineData(3133), InlineData(3134), InlineData(3135)]
    public async Task Without_a_tag_of_the_brake_nothing_is_claimed_of_a_healthy_one_but_its_side(int seed)
    {
        await using SurveyedMachine surveyed = new(TwentyMachinesTests.Draw(seed), seed)
        {
            Signals = s_fewSignals,
        };

        SurveyRecord record = await surveyed.SurveyAsync(s_end);

        SurveyResult found = SurveyResult.Of(record.Measures, record.Known);
        Assert.Contains(found.Brake.Side, new[] { BrakeSide.Full, BrakeSide.Unknown });
        Assert.False(found.Brake.BearsFrom.IsKnown || found.Brake.LetsGoAt.IsKnown);
        Assert.NotNull(record.Measures.FromFull);
    }

    [Theory]
    [InlineData(3151, BrakeKind.SpringLinked)]
    [InlineData(3152, BrakeKind.SpringLinked)]
    [InlineData(3153, BrakeKind.Air)]
    [InlineData(3154, BrakeKind.Air)]
    public async Task Without_a_tag_a_brake_on_the_wrong_side_shows_in_an_unwind_that_does_not_start(
        int seed,
        BrakeKind brake
    )
    {
        MachineParameters machine = TwentyMachinesTests.Draw(seed) with
        {
            Brake = brake,
            BrakeOnWrongSide = true,
        };
        await using SurveyedMachine surveyed = new(machine, seed) { Signals = s_fewSignals };

        SurveyRecord record = await surveyed.SurveyAsync(s_end);

        SurveyResult found = SurveyResult.Of(record.Measures, record.Known);
        Assert.Equal((BrakeSource.Unwind, BrakeSide.Empty), (found.Brake.Source, found.Brake.Side));
        Assert.Equal(FindingWeight.Halt, record.Findings[0].Weight);
        Assert.Null(record.Measures.Run);
    }

    [Fact]
    public async Task A_dancer_that_never_moved_is_no_survey()
    {
        await using SurveyedMachine surveyed = new(
            TwentyMachinesTests.Draw(3141),
            3141,
            one =>
            {
                ScriptedPerson? person = null;
                return person = new ScriptedPerson(one.Dancer, one.Time)
                {
                    // Holds it at full whatever is asked for.
                    Instead = step =>
                    {
                        person!.Bring(100);
                        return true;
                    },
                };
            }
        );

        SurveyRecord record = await surveyed.SurveyAsync(s_end);

        Assert.Contains(
            surveyed.Person.Doubts,
            doubt =>
                doubt.Step == SurveyStep.HoldEmpty
                && doubt.Text.Contains("has not moved", StringComparison.Ordinal)
        );
        Assert.Null(record.Measures.Empty);
        Assert.Null(record.Measures.Travel);
        Assert.NotNull(record.Measures.Full);
    }

    [Fact]
    public async Task A_dancer_that_is_not_held_still_is_asked_for_again()
    {
        await using SurveyedMachine surveyed = new(
            TwentyMachinesTests.Draw(3142),
            3142,
            one => new ScriptedPerson(one.Dancer, one.Time)
            {
                Instead = step =>
                {
                    // On its way for all the time it is read.
                    one.Dancer.HoldDancer(step == SurveyStep.HoldFull ? 100 : 0, 0.75);
                    return true;
                },
                Answers = (step, isDoubt) => step > SurveyStep.HoldFull || isDoubt ? Answer.Leave : null,
            }
        );

        SurveyRecord record = await surveyed.SurveyAsync(s_end);

        Assert.Contains(
            "moved all the time",
            Assert.Single(surveyed.Person.Doubts).Text,
            StringComparison.Ordinal
        );
        Assert.Equal(new SurveyMeasures(), record.Measures);
    }

    [Fact]
    public async Task A_controller_that_goes_away_in_the_middle_is_told_and_what_was_measured_is_kept()
    {
        SurveyRecord? saved = null;
        await using SurveyedMachine surveyed = new(
            TwentyMachinesTests.Draw(3143),
            3143,
            one =>
            {
                ScriptedPerson? person = null;
                return person = new ScriptedPerson(one.Dancer, one.Time)
                {
                    Instead = step =>
                    {
                        if (step == SurveyStep.HoldEmpty)
                            one.UnplugAsync().GetAwaiter().GetResult();
                        return false;
                    },
                    Answers = (_, isDoubt) => isDoubt ? Answer.Leave : null,
                };
            }
        );

        SurveyRecord record = await surveyed.SurveyAsync(s_end, save: one => saved = one);

        Assert.StartsWith(
            "Controller 'packing-a'",
            Assert.Single(surveyed.Person.Doubts).Text,
            StringComparison.Ordinal
        );
        Assert.NotNull(record.Measures.Full);
        Assert.NotNull(record.Measures.HalfFromAbove);
        Assert.Same(record, saved);
    }

    [Fact]
    public async Task A_tag_that_does_not_exist_is_named_before_anything_is_begun()
    {
        await using SurveyedMachine surveyed = new(TwentyMachinesTests.Draw(3144), 3144) { Prefix = "Tea9" };

        DeadTagException thrown = await Assert.ThrowsAsync<DeadTagException>(() =>
            surveyed.SurveyAsync(s_end)
        );

        Assert.Contains("Tea9.DancerGap", thrown.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_survey_that_was_left_goes_on_where_it_was()
    {
        bool left = false;
        await using SurveyedMachine surveyed = new(
            TwentyMachinesTests.Draw(3145),
            3145,
            one => new ScriptedPerson(one.Dancer, one.Time)
            {
                Answers = (step, isDoubt) =>
                {
                    if (step != SurveyStep.Travel || isDoubt || left)
                        return null;
                    left = true;
                    return Answer.Leave;
                },
            }
        );
        using TemporaryFolder folder = new();
        string path = folder.PathOf("tea-1.json");

        SurveyRecord half = await surveyed.SurveyAsync(s_end, save: one => RecordFile.Save(path, one));
        Assert.Null(half.Finished);
        SurveyRecord read = RecordFile.Load(path);
        Assert.Equal(SurveyStep.Travel, read.Next);

        SurveyRecord whole = await surveyed.SurveyAsync(
            s_end,
            save: one => RecordFile.Save(path, one),
            from: read
        );

        Assert.NotNull(whole.Finished);
        Assert.Equal(half.Measures.Full!.Gap.Value, whole.Measures.Full!.Gap.Value, 1e-5);
        Assert.NotNull(RecordFile.Load(path).Measures.FromFull);
    }
}
