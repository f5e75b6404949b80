using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Survey.Findings;
using Dancerwatch.Signals.Survey.Results;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.Signals.Tests.Survey.Results;

public sealed class SurveyResultTests
{
    [Fact]
    public void A_healthy_machine_is_what_it_was_made_of_and_asks_for_nothing()
    {
        SurveyResult result = SurveyResult.Of(Surveys.Healthy, Surveys.Known);

        Assert.Equal(2900, result.Span.Value);
        Assert.Equal(29, result.CountsPerPercent.Value);
        Assert.Equal(1200, result.Storage.Value, 1);
        Assert.Equal(2.4167, result.CountsPerMillimeter.Value, 3e-3);
        Assert.Equal((BrakeSource.Switch, BrakeSide.Full), (result.Brake.Source, result.Brake.Side));
        Assert.Equal(88, result.Brake.BearsFrom.Value, 0.5);
        Assert.Equal(88, result.Brake.LetsGoAt.Value, 0.5);
        // 300 counts of 29, and the play's one count.
        Assert.Equal(301.0 / 29, result.Swing.Value, 2e-2);
        Assert.Equal(165, result.Clearance);
        Assert.Equal(Side.Empty, result.NearestSide);
        Assert.Equal(40.0 / 29, result.OverrunPercent, 1e-2);
        Assert.Equal(200, result.CycleMillimeters, 1e-6);
        Assert.Empty(SurveyFindings.Of(result, Surveys.Healthy, Surveys.Known));
    }

    [Fact]
    public void Nothing_measured_is_nothing_known_and_nothing_claimed()
    {
        SurveyMeasures nothing = new();

        SurveyResult result = SurveyResult.Of(nothing, Surveys.Known);

        Assert.False(result.GapAtFull.IsKnown || result.Storage.IsKnown || result.Swing.IsKnown);
        Assert.Equal(BrakeSide.Unknown, result.Brake.Side);
        Assert.Empty(SurveyFindings.Of(result, nothing, Surveys.Known));
    }

    [Fact]
    public void Without_holds_a_start_claims_nothing_of_the_brake()
    {
        SurveyMeasures start = new() { FromFull = new Start(Surveys.Way(100, 40), Tripped: false) };

        SurveyResult result = SurveyResult.Of(start, Surveys.Known);

        Assert.Equal(BrakeSide.Unknown, result.Brake.Side);
    }

    [Fact]
    public void Film_that_was_not_metered_leaves_storage_and_cam_unknown_and_says_so()
    {
        Travel travel = Surveys.Healthy.Travel!;
        SurveyMeasures measures = Surveys.Healthy with
        {
            Travel = travel with { Up = [.. travel.Up.Select(block => block with { FilmMillimeters = 0 })] },
        };

        SurveyResult result = SurveyResult.Of(measures, Surveys.Known);

        Assert.False(result.Storage.IsKnown);
        Assert.Equal(50, result.FillOf(2050), 1e-9);
        Assert.Contains(
            SurveyFindings.Of(result, measures, Surveys.Known),
            finding => finding.Text.Contains("did not meter the film", StringComparison.Ordinal)
        );
    }

    [Theory, InlineData(-6), InlineData(-3), InlineData(4), InlineData(6)]
    public void A_bowed_cam_is_straightened(double bow)
    {
        CamShape cam = CamShape.Of(Surveys.Way(-15, 115, bow), 600, 3500);

        Assert.Equal(bow, cam.LargestBowPercent, 0.1);
        foreach (double fill in new[] { 10.0, 30, 50, 70, 90 })
        {
            double straight = fill + (bow * 4 * fill / 100 * (1 - (fill / 100)));
            Assert.Equal(fill, cam.TruePercent(straight), 0.1);
        }
        Assert.Equal(-7, cam.TruePercent(-7));
        Assert.Equal(104, cam.TruePercent(104));
    }

    [Theory]
    [InlineData(-10, BrakeSide.Both)]
    [InlineData(-20, BrakeSide.Both)]
    [InlineData(120, BrakeSide.Neither)]
    public void A_brake_that_never_changes_is_on_neither_side(double from, BrakeSide side)
    {
        double brake = from == -10 ? -100 : from;
        SurveyMeasures measures = Surveys.Healthy with
        {
            Travel = Surveys.Healthy.Travel! with
            {
                Up = Surveys.Way(-15, 115, 0, brake),
                Down = Surveys.Way(115, -15, 0, brake),
            },
        };

        Assert.Equal(side, SurveyResult.Of(measures, Surveys.Known).Brake.Side);
    }

    [Fact]
    public void A_linkage_that_sticks_is_told_of_a_spring_and_not_of_air()
    {
        SurveyMeasures measures = Surveys.Healthy with
        {
            Travel = Surveys.Healthy.Travel! with { Down = Surveys.Way(115, -15, 0, 76) },
        };
        SurveyResult result = SurveyResult.Of(measures, Surveys.Known);

        Assert.Equal(76, result.Brake.LetsGoAt.Value, 0.5);
        SurveyFinding finding = Assert.Single(SurveyFindings.Of(result, measures, Surveys.Known));
        Assert.Contains("linkage that sticks", finding.Text, StringComparison.Ordinal);
        Assert.Empty(SurveyFindings.Of(result, measures, Surveys.Known with { Brake = BrakeKind.Air }));
    }
}
