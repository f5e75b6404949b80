using System.Collections.Concurrent;
using System.Diagnostics;
using System.Net;
using System.Net.Sockets;
using System.Text.Json;

namespace Dancerwatch.Polling;

/// <summary>
/// The broker of the Mosquitto project on loopback, without TLS, and its subscriber to events, each a process of its own. The
/// subscriber says itself when it had each message.
/// </summary>
internal sealed class Mosquitto : IAsyncDisposable
{
    private readonly TaskCompletionSource _runs = new();
    private readonly TaskCompletionSource _subscribed = new();
    private readonly FileInfo _settings = new(Path.GetTempFileName());
    private readonly Process _broker;
    private Process? _subscriber;

    private Mosquitto(string broker, bool sendsAtOnce)
    {
        File.WriteAllText(
            _settings.FullName,
            $"""
            listener {Port} 127.0.0.1
            allow_anonymous true
            set_tcp_nodelay {(sendsAtOnce ? "true" : "false")}

            """
        );
        _broker = Start(broker, ["-c", _settings.FullName, "-v"], Log);
    }

    public int Port { get; } = FreePort();

    /// <summary>Events of any machine.</summary>
    public const string Topic = "+/v1/+/+/+/+/event";

    /// <summary>When the subscriber had the message of an id, UTC.</summary>
    public ConcurrentDictionary<string, DateTime> Received { get; } = new();

    /// <param name="sendsAtOnce">
    /// Whether the broker sends each message at once, which is not its default: there a message waits until the one before it is known
    /// to have arrived, as TCP does by itself, up to 40 ms.
    /// </param>
    /// <returns>Null where it is not installed.</returns>
    public static async Task<Mosquitto?> StartAsync(bool sendsAtOnce)
    {
        if (Find("mosquitto") is not { } broker || Find("mosquitto_sub") is not { } subscriber)
            return null;
        TimeSpan patience = TimeSpan.FromSeconds(10);
        Mosquitto started = new(broker, sendsAtOnce);
        await started._runs.Task.WaitAsync(patience);
        // %U: seconds since 1970 with nanoseconds, of when the message came.
        string[] how = ["-p", $"{started.Port}", "-V", "mqttv5", "-q", "1", "-i", "subscriber"];
        started._subscriber = Start(subscriber, [.. how, "-t", Topic, "-F", "%U %p"], started.Keep);
        await started._subscribed.Task.WaitAsync(patience);
        return started;
    }

    public async ValueTask DisposeAsync()
    {
        foreach (Process process in new[] { _subscriber, _broker }.OfType<Process>())
        {
            process.Kill();
            await process.WaitForExitAsync();
            process.Dispose();
        }
        _settings.Delete();
    }

    private static string? Find(string program) =>
        (Environment.GetEnvironmentVariable("PATH") ?? "")
            .Split(':')
            .Append("/usr/sbin")
            .Select(folder => Path.Combine(folder, program))
            .FirstOrDefault(File.Exists);

    private static int FreePort()
    {
        using TcpListener listener = new(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }

    private static Process Start(string program, string[] arguments, Action<string> read)
    {
        ProcessStartInfo start = new(program, arguments)
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        Process process = Process.Start(start)!;
        void Read(object _, DataReceivedEventArgs line)
        {
            if (line.Data is { } text)
                read(text);
        }
        process.OutputDataReceived += Read;
        process.ErrorDataReceived += Read;
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();
        return process;
    }

    private void Log(string line)
    {
        if (line.EndsWith("running", StringComparison.Ordinal))
            _runs.TrySetResult();
        if (line.Contains("Received SUBSCRIBE from subscriber", StringComparison.Ordinal))
            _subscribed.TrySetResult();
    }

    private void Keep(string line)
    {
        string[] parts = line.Split(' ', 2);
        if (parts.Length < 2 || !decimal.TryParse(parts[0], out decimal seconds))
            return;
        DateTime when = DateTime.UnixEpoch.AddTicks((long)(seconds * TimeSpan.TicksPerSecond));
        using JsonDocument message = JsonDocument.Parse(parts[1]);
        Received[message.RootElement.GetProperty("id").GetString()!] = when;
    }
}
