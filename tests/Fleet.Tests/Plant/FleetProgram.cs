using System.Reflection;
using Dancerwatch.EndToEnd.Tests;

namespace Dancerwatch.Fleet.Tests.Plant;

/// <summary>The program as a process of its own, somewhere in the plant's network.</summary>
internal static class FleetProgram
{
    // The build's other tests must not starve a host until the others take it for lost.
    private static readonly string[] s_first = ["nice", "-n", "-10"];

    /// <summary>As it was built with the tests.</summary>
    public static string Built { get; } = Path.Combine(AppContext.BaseDirectory, "dancerwatch-fleet.dll");

    /// <summary>Version of a build.</summary>
    public static string VersionOf(string program) =>
        AssemblyName.GetAssemblyName(program).Version!.ToString(fieldCount: 3);

    /// <param name="where">What runs a program there.</param>
    public static ToolProcess Start(string[] where, params string[] arguments) =>
        Start(Built, where, arguments);

    /// <param name="program">A build of it.</param>
    /// <inheritdoc cref="Start(string[], string[])"/>
    public static ToolProcess Start(string program, string[] where, string[] arguments)
    {
        string[] command = [.. where, .. s_first, "dotnet", program, .. arguments];
        return new ToolProcess(command[0], command[1..]);
    }
}
