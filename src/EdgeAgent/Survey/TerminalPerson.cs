namespace Dancerwatch.EdgeAgent.Survey;

/// <summary>The person at a terminal: reads lines, prints lines.</summary>
/// <param name="showsProgress">Lines may be overwritten, as on a terminal.</param>
internal sealed class TerminalPerson(TextReader input, TextWriter output, bool showsProgress) : ISurveyPerson
{
    private const int Width = 88;
    private bool _isShowing;

    public void Tell(string text)
    {
        ClearProgress();
        foreach (string line in text.Split('\n').SelectMany(Wrap))
            output.WriteLine(line);
        output.Flush();
    }

    public void Show(string progress)
    {
        if (!showsProgress)
            return;
        output.Write($"\r  {progress, -(Width - 2)}");
        output.Flush();
        _isShowing = true;
    }

    public async ValueTask<bool> PromisesAsync(IReadOnlyList<string> cautions, CancellationToken cancellation)
    {
        Tell("\nBefore anything else:");
        foreach (string caution in cautions)
            Tell($"  - {caution}");
        Tell("\nType yes when all of that is seen to; anything else ends here.");
        string? line = await LineAsync(cancellation);
        return line?.Trim().Equals("yes", StringComparison.OrdinalIgnoreCase) == true;
    }

    public async ValueTask<Answer> AskAsync(
        SurveyStep step,
        string text,
        bool isDoubt,
        bool mayKeep,
        CancellationToken cancellation
    )
    {
        Tell("\n" + text);
        string keep = mayKeep ? "k keep it, " : "";
        string choice = isDoubt
            ? $"[Enter] once more, {keep}s leave this step out, q leave and go on another time"
            : "[Enter] when ready, s leave this step out, q leave and go on another time";
        while (true)
        {
            Tell(choice);
            switch ((await LineAsync(cancellation))?.Trim().ToLowerInvariant())
            {
                case "":
                    return Answer.Go;
                case "k" when mayKeep:
                    return Answer.Keep;
                case "s":
                    return Answer.LeaveOut;
                case "q" or null:
                    return Answer.Leave;
            }
        }
    }

    private async ValueTask<string?> LineAsync(CancellationToken cancellation)
    {
        output.Write("> ");
        output.Flush();
        return await input.ReadLineAsync(cancellation);
    }

    private void ClearProgress()
    {
        if (_isShowing)
            output.WriteLine();
        _isShowing = false;
    }

    private static IEnumerable<string> Wrap(string line)
    {
        string indent = new(' ', line.Length - line.TrimStart().Length);
        while (line.Length > Width)
        {
            int space = line.LastIndexOf(' ', Width);
            if (space <= indent.Length)
                break;
            yield return line[..space];
            line = indent + line[(space + 1)..];
        }
        yield return line;
    }
}
