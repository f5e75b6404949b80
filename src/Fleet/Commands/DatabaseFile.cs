using Dancerwatch.Fleet.Hosting;

namespace Dancerwatch.Fleet.Commands;

/// <summary>The file that says how PostgreSQL is reached. What stands in it is a secret, and is never repeated.</summary>
internal static class DatabaseFile
{
    /// <param name="refusals">Takes why it cannot be used.</param>
    /// <returns>The connection string; null where it cannot be used.</returns>
    /// <exception cref="IOException">It cannot be read.</exception>
    public static string? Read(string file, List<string> refusals)
    {
        string line = File.ReadLines(file).FirstOrDefault() ?? "";
        try
        {
            FleetSilo.Connection(line, "check", connections: 1);
            if (line.Trim().Length > 0)
                return line;
        }
        catch (Exception e) when (e is ArgumentException or FormatException)
        {
            // The reason may repeat a password.
        }
        refusals.Add(
            $"{file}: the first line does not say how PostgreSQL is reached. It must be like Host=192.0.2.5;Database=fleet;Username=fleet;Password=..."
        );
        return null;
    }
}
