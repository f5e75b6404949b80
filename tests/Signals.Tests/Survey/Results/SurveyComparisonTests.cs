using Dancerwatch.Signals.Survey.Results;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.Signals.Tests.Survey.Results;

public sealed class SurveyComparisonTests
{
    [Fact]
    public void The_same_survey_twice_has_not_changed()
    {
        SurveyResult result = SurveyResult.Of(Surveys.Healthy, Surveys.Known);

        Assert.All(
            SurveyComparison.Of(result, result),
            change => Assert.Contains(change.Weight, new[] { ChangeWeight.Same, ChangeWeight.NotKnown })
        );
    }

    [Theory]
    [InlineData(3501, ChangeWeight.Same)]
    [InlineData(3505, ChangeWeight.Small)]
    [InlineData(3530, ChangeWeight.Matters)]
    public void A_gap_that_changed_counts_beyond_both_uncertainties_and_matters_from_half_a_percent(
        double gap,
        ChangeWeight weight
    )
    {
        SurveyMeasures after = Surveys.Healthy with { Full = Surveys.At(gap) };

        SurveyChange change = SurveyComparison
            .Of(SurveyResult.Of(Surveys.Healthy, Surveys.Known), SurveyResult.Of(after, Surveys.Known))
            .Single(one => one.Name == "gap at full");

        Assert.Equal(weight, change.Weight);
        Assert.Equal(gap - 3500, change.Difference, 1e-9);
    }
}
