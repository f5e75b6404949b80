using System.Globalization;

namespace Dancerwatch.EndToEnd.Tests.Program;

/// <summary>The native program's <c>simulate</c>, and a configuration that is led to it.</summary>
internal sealed class SimulatedHall : IAsyncDisposable
{
    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-program-");
    private readonly int _controller = LoopbackPort.Free();
    private readonly int _broker = LoopbackPort.Free();

    public SimulatedHall() =>
        Process = PublishedProgram.Start(
            "simulate",
            "--controller-port",
            Text(_controller),
            "--broker-port",
            Text(_broker)
        );

    public ToolProcess Process { get; }

    public string Broker => $"127.0.0.1:{_broker}";

    /// <summary>Waits until it serves; then writes the configuration.</summary>
    /// <returns>The configuration's path.</returns>
    public async Task<string> ConfigurationAsync()
    {
        await Process.LineAsync(line => line.StartsWith("Controller at", StringComparison.Ordinal));
        string text = File.ReadAllText(RepositoryFiles.PathOf("config", "tea-hall.jsonc"))
            .Replace("44818", Text(_controller), StringComparison.Ordinal)
            .Replace("1883", Text(_broker), StringComparison.Ordinal);
        string path = PathOf("tea-hall.jsonc");
        File.WriteAllText(path, text);
        return path;
    }

    /// <summary>A file that goes with it.</summary>
    public string PathOf(string file) => Path.Combine(_directory.FullName, file);

    public async ValueTask DisposeAsync()
    {
        await Process.DisposeAsync();
        _directory.Delete(recursive: true);
    }

    private static string Text(int port) => port.ToString(CultureInfo.InvariantCulture);
}
