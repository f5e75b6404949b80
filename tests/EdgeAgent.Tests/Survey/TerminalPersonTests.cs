using Dancerwatch.EdgeAgent.Survey;

namespace Dancerwatch.EdgeAgent.Tests.Survey;

public sealed class TerminalPersonTests
{
    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;

    [Theory]
    [InlineData("\n", Answer.Go)]
    [InlineData("k\n", Answer.Keep)]
    [InlineData(" S \n", Answer.LeaveOut)]
    [InlineData("q\n", Answer.Leave)]
    [InlineData("", Answer.Leave)]
    [InlineData("what?\nk\n", Answer.Keep)]
    public async Task An_answer_is_one_letter_or_none(string typed, object answer)
    {
        TerminalPerson person = new(new StringReader(typed), new StringWriter(), showsProgress: false);

        Assert.Equal(answer, await person.AskAsync(SurveyStep.HoldFull, "doubt", true, true, s_end));
    }

    [Fact]
    public async Task What_must_not_be_kept_is_not_offered_to_be_kept()
    {
        StringWriter output = new();
        TerminalPerson person = new(new StringReader("k\n\n"), output, showsProgress: false);

        Assert.Equal(Answer.Go, await person.AskAsync(SurveyStep.HoldFull, "doubt", true, false, s_end));
        Assert.DoesNotContain("keep it", output.ToString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("yes\n", true)]
    [InlineData("YES\n", true)]
    [InlineData("y\n", false)]
    [InlineData("\n", false)]
    [InlineData("", false)]
    public async Task The_cautions_are_kept_by_the_word_yes_and_nothing_else(string typed, bool promised)
    {
        StringWriter output = new();
        TerminalPerson person = new(new StringReader(typed), output, showsProgress: false);

        Assert.Equal(promised, await person.PromisesAsync(["Lock out.", "Mind the nip."], s_end));
        Assert.Contains("- Lock out.", output.ToString(), StringComparison.Ordinal);
        Assert.Contains("- Mind the nip.", output.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void Long_paragraphs_are_broken_between_words()
    {
        StringWriter output = new();
        TerminalPerson person = new(new StringReader(""), output, showsProgress: false);

        person.Tell($"  - {string.Join(' ', Enumerable.Repeat("dancer", 40))}");

        string[] lines = output.ToString().Split('\n', StringSplitOptions.RemoveEmptyEntries);
        Assert.All(lines, line => Assert.InRange(line.TrimEnd().Length, 1, 88));
        Assert.All(lines, line => Assert.StartsWith("  ", line, StringComparison.Ordinal));
        Assert.Equal(40, lines.Sum(line => line.Split("dancer").Length - 1));
    }
}
