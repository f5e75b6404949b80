using System.CommandLine;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>--record DIR</c>, the same for every command that reads machines for longer.</summary>
internal sealed class RecordOption : Option<string?>
{
    public RecordOption()
        : base("--record")
    {
        Description = "Also write every reading to a CSV file in this directory, for replay.";
        HelpName = "DIR";
    }
}
