using System.CommandLine;
using System.Reflection;
using Dancerwatch.EdgeAgent.Commands;

namespace Dancerwatch.Fleet.Commands;

/// <summary><c>dancerwatch-fleet schema</c>: what PostgreSQL must be told once, and after an update.</summary>
internal static class SchemaCommand
{
    public static Command Create()
    {
        ExampleCommand command = new(
            "schema",
            "Prints the SQL that makes the fleet's tables in PostgreSQL; it may be run again, and forgets nothing.",
            "dancerwatch-fleet schema | psql --set ON_ERROR_STOP=1 \"host=192.0.2.5 dbname=fleet user=fleet\""
        );
        command.SetAction(parsed =>
        {
            parsed.InvocationConfiguration.Output.Write(Text());
            return ExitCodes.Ok;
        });
        return command;
    }

    /// <summary>The statements.</summary>
    public static string Text()
    {
        using Stream stream = Assembly.GetExecutingAssembly().GetManifestResourceStream("schema.sql")!;
        using StreamReader reader = new(stream);
        return reader.ReadToEnd();
    }
}
