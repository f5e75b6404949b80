using Dancerwatch.EndToEnd.Tests;

namespace Dancerwatch.Fleet.Tests.Plant;

/// <summary>The program as a process of its own, somewhere in the plant's network.</summary>
internal static class FleetProgram
{
    // The build's other tests must not starve a host until the others take it for lost.
    private static readonly string[] s_first = ["nice", "-n", "-10"];

    /// <param name="where">What runs a program there.</param>
    public static ToolProcess Start(string[] where, params string[] arguments)
    {
        string[] command =
        [
            .. where,
            .. s_first,
            "dotnet",
            Path.Combine(AppContext.BaseDirectory, "dancerwatch-fleet.dll"),
            .. arguments,
        ];
        return new ToolProcess(command[0], command[1..]);
    }
}
