using System.CommandLine;
using Dancerwatch.EdgeAgent.Survey;

namespace Dancerwatch.EdgeAgent.Commands.Surveys;

/// <summary><c>dancerwatch survey compare</c>: what changed between two surveys, and whether it matters.</summary>
internal static class CompareCommand
{
    public static Command Create()
    {
        Argument<string> before = new("BEFORE.json") { Description = "The earlier record." };
        Argument<string> after = new("AFTER.json") { Description = "The later record." };
        ExampleCommand command = new(
            "compare",
            "Says what changed between two surveys of a machine, and whether it matters.",
            "dancerwatch survey compare tea-1-found.json tea-1-left.json"
        )
        {
            before,
            after,
        };
        command.SetAction(parsed =>
        {
            TextWriter output = parsed.InvocationConfiguration.Output;
            TextWriter error = parsed.InvocationConfiguration.Error;
            SurveyRecord[] records = new SurveyRecord[2];
            try
            {
                records[0] = RecordFile.Load(parsed.GetRequiredValue(before));
                records[1] = RecordFile.Load(parsed.GetRequiredValue(after));
            }
            catch (FormatException e)
            {
                error.WriteLine(e.Message);
                return ExitCodes.File;
            }
            if (records[0].Machine != records[1].Machine)
            {
                error.WriteLine(
                    $"The records are of two machines, {records[0].Machine} and {records[1].Machine}. Name two of the same."
                );
                return ExitCodes.Usage;
            }
            int matter = SurveySummary.Compare(output, records[0], records[1]);
            output.WriteLine(matter == 0 ? "Nothing changed that matters." : $"{matter} changed and matter.");
            return matter == 0 ? ExitCodes.Ok : ExitCodes.Findings;
        });
        return command;
    }
}
