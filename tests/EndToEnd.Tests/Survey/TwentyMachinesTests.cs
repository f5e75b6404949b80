using System.Globalization;
using Dancerwatch.EdgeAgent.Survey;
using Dancerwatch.Signals.Survey.Results;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.EndToEnd.Tests.Survey;

/// <summary>The survey on machines drawn at random, with set points taught a little off and play in the cam, read over EtherNet/IP.</summary>
public sealed class TwentyMachinesTests
{
    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;

    public static TheoryData<int> Seeds => [.. Enumerable.Range(3001, 20)];

    [Theory, MemberData(nameof(Seeds))]
    public async Task The_survey_finds_what_the_machine_is(int seed)
    {
        MachineParameters machine = Draw(seed);
        await using SurveyedMachine surveyed = new(machine, seed);

        SurveyRecord record = await surveyed.SurveyAsync(s_end);

        Assert.NotNull(record.Measures.Run);
        SurveyResult found = SurveyResult.Of(record.Measures, record.Known);
        double span = Math.Abs(machine.GapAtFullCounts - machine.GapAtEmptyCounts);
        double full = 100 * (found.GapAtFull.Value - machine.GapAtFullCounts) / span;
        double empty = 100 * (found.GapAtEmpty.Value - machine.GapAtEmptyCounts) / span;
        double storage = 100 * ((found.Storage.Value / machine.StorageMillimeters) - 1);
        double swing = 100 * ((found.Swing.Value / surveyed.TrueSwing()) - 1);
        double brake = found.Brake.BearsFrom.Value - machine.BrakeFromPercent;
        double bow = found.Cam.LargestBowPercent - machine.CamBowPercent;
        TestContext.Current.TestOutputHelper!.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"seed {seed}: full {full:+0.00;-0.00} %, empty {empty:+0.00;-0.00} % of span; storage {storage:+0.0;-0.0} %, swing {swing:+0.0;-0.0} % of {surveyed.TrueSwing():0.0} %; brake {brake:+0.0;-0.0} % of fill ({found.Brake.Source}, {machine.Brake}); bow {bow:+0.0;-0.0} %; play {found.Play.Value:0.00} ± {found.Play.Plus:0.00} of {machine.CamPlayPercent:0.00} %; overrun {found.OverrunPercent:0.0} %; target {found.Target.Target.Value:0.0} of {machine.TargetFillPercent:0.0}"
            )
        );
        Assert.All(surveyed.Person.Doubts, doubt => Assert.Equal(SurveyStep.StartFromEmpty, doubt.Step));
        Assert.NotNull(record.Finished);
        Assert.InRange(full, -0.5, 0.5);
        Assert.InRange(empty, -0.5, 0.5);
        Assert.InRange(storage, -3, 3);
        Assert.InRange(swing, -3, 3);
        Assert.InRange(brake, -3, 3);
        Assert.Equal(BrakeSide.Full, found.Brake.Side);
        Assert.False(found.IsSwapped || found.HoldsAreSwapped || found.Touches);
    }

    /// <summary>One of the trade's machines; the same seed gives the same.</summary>
    internal static MachineParameters Draw(int seed)
    {
        MachineParameters machine = MachineParameters.Random(seed);
        Random random = new(seed);
        // Mounted so that the sensor sees the whole travel, stops included, and touches nothing.
        double width = 1500 + (1400 * random.NextDouble());
        double near = (0.15 * width) + 150 + (100 * random.NextDouble());
        bool grows = machine.GapAtFullCounts > machine.GapAtEmptyCounts;
        machine = machine with
        {
            GapAtFullCounts = grows ? near + width : near,
            GapAtEmptyCounts = grows ? near : near + width,
        };
        double span = machine.GapAtFullCounts - machine.GapAtEmptyCounts;
        double Off(double gap) => Math.Round(gap + (span * 0.02 * ((2 * random.NextDouble()) - 1)));
        return machine with
        {
            CamPlayPercent = 0.6 * random.NextDouble(),
            TaughtGapAtFullCounts = Off(machine.GapAtFullCounts),
            TaughtGapAtEmptyCounts = Off(machine.GapAtEmptyCounts),
        };
    }
}
