using System.CommandLine;
using System.Text;
using Dancerwatch.EdgeAgent.Survey;
using Dancerwatch.EdgeAgent.Survey.Sheet;

namespace Dancerwatch.EdgeAgent.Commands.Surveys;

/// <summary><c>dancerwatch survey sheet</c>: a record on one A4 page.</summary>
internal static class SheetCommand
{
    public static Command Create()
    {
        Argument<string> record = new("RECORD.json") { Description = "A record, finished or not." };
        Option<string> sheet = new("--sheet")
        {
            Description =
                "File the sheet goes to (HTML, one A4 page, nothing loaded from anywhere); overwritten.",
            HelpName = "SHEET.html",
            Required = true,
        };
        ExampleCommand command = new(
            "sheet",
            "Puts a survey on one A4 page to print and file.",
            "dancerwatch survey sheet tea-1-found.json --sheet tea-1-found.html"
        )
        {
            record,
            sheet,
        };
        command.SetAction(parsed =>
        {
            try
            {
                Write(parsed.GetRequiredValue(sheet), RecordFile.Load(parsed.GetRequiredValue(record)));
                return ExitCodes.Ok;
            }
            catch (FormatException e)
            {
                parsed.InvocationConfiguration.Error.WriteLine(e.Message);
                return ExitCodes.File;
            }
        });
        return command;
    }

    public static void Write(string path, SurveyRecord record) =>
        RecordFile.Replace(path, stream => stream.Write(Encoding.UTF8.GetBytes(SheetHtml.Of(record))));
}
