using System.Globalization;
using Dancerwatch.EdgeAgent.Survey;
using Dancerwatch.Signals.Survey;
using Dancerwatch.Signals.Survey.Results;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.EndToEnd.Tests.Survey;

/// <summary>How often the intervals cover what is really the case: JCGM 100:2008 (GUM), 6.2, asks for about 95 of 100.</summary>
public sealed class CoverageTests
{
    private const int Machines = 40;
    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;

    [Fact]
    public async Task Each_result_with_an_interval_is_covered_by_it_in_about_95_of_100_machines_or_more()
    {
        Dictionary<string, int> covered = [];
        for (int seed = 3301; seed < 3301 + Machines; seed++)
        {
            MachineParameters machine = TwentyMachinesTests.Draw(seed);
            await using SurveyedMachine surveyed = new(
                machine,
                seed,
                one => new ScriptedPerson(one.Dancer, one.Time)
                {
                    Answers = (step, _) =>
                        step is SurveyStep.StartFromEmpty or SurveyStep.Stop or SurveyStep.StartFromFull
                            ? Answer.LeaveOut
                            : null,
                }
            )
            {
                IsDirect = true,
            };
            SurveyRecord record = await surveyed.SurveyAsync(s_end);
            SurveyResult found = SurveyResult.Of(record.Measures, record.Known);
            void Count(string name, Uncertain result, double real) =>
                covered[name] =
                    covered.GetValueOrDefault(name) + (Math.Abs(result.Value - real) <= result.Plus ? 1 : 0);

            Count("gap at full", found.GapAtFull, machine.GapAtFullCounts);
            Count("gap at empty", found.GapAtEmpty, machine.GapAtEmptyCounts);
            Count("film stored", found.Storage, machine.StorageMillimeters);
            Count("play", found.Play, machine.CamPlayPercent);
            Count("swing in a cycle", found.Swing, surveyed.TrueSwing());
            Count("brake bears from", found.Brake.BearsFrom, TrueBrake(machine));
        }
        foreach ((string name, int times) in covered)
            TestContext.Current.TestOutputHelper!.WriteLine(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{name}: {100.0 * times / Machines:0} % of {Machines}"
                )
            );
        // Of 40 tries at 95 %, 34 or fewer cover in about 1 of 100 cases (binomial).
        Assert.All(covered, one => Assert.InRange(one.Value, 35, Machines));
    }

    /// <summary>
    /// Where the dancer is, %, when the brake's switch or valve goes. Springs follow the dancer, the switch closes when they bear
    /// by a twentieth of 10 % of travel; the controller opens its valve by what it takes for fill, by the taught ends and a
    /// straight cam.
    /// </summary>
    private static double TrueBrake(MachineParameters machine)
    {
        if (machine.Brake == BrakeKind.SpringLinked)
            return machine.BrakeFromPercent + 0.5;
        double gap =
            machine.TaughtGapAtEmptyCounts
            + (
                (machine.TaughtGapAtFullCounts - machine.TaughtGapAtEmptyCounts)
                * machine.BrakeFromPercent
                / 100
            );
        double straight =
            100 * (gap - machine.GapAtEmptyCounts) / (machine.GapAtFullCounts - machine.GapAtEmptyCounts);
        (double low, double high) = (0, 120);
        for (int i = 0; i < 60; i++)
        {
            double middle = (low + high) / 2;
            if (machine.StraightPercent(middle) < straight)
                low = middle;
            else
                high = middle;
        }
        return low;
    }
}
