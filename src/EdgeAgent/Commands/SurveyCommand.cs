using System.CommandLine;
using Dancerwatch.EdgeAgent.Commands.Surveys;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>dancerwatch survey</c>: what a machine's dancer, sensor, brake and unwind are like, by the hands of a person and live reads.</summary>
internal static class SurveyCommand
{
    public static Command Create() =>
        new(
            "survey",
            "Guides a person through the set-up survey of a dancer, and works with its records. Reads only."
        )
        {
            TakeCommand.Create(),
            SheetCommand.Create(),
            CompareCommand.Create(),
        };
}
