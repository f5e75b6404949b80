using System.Diagnostics;
using System.Globalization;

namespace Dancerwatch.Soak;

/// <summary>
/// Everything between the agent and its controllers, captured on loopback by dumpcap into files that take 1 GB at most, and
/// dissected by tshark when the run is over.
/// </summary>
internal sealed class Capture : IDisposable
{
    private const int FileKilobytes = 50_000;
    private const int Files = 20;

    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-soak-");
    private readonly int[] _ports;
    private readonly Process _dumpcap;

    public Capture(IEnumerable<int> ports)
    {
        _ports = [.. ports];
        string filter = string.Join(" or ", _ports.Select(port => $"tcp port {port}"));
        string file = Path.Combine(_directory.FullName, "frames.pcapng");
        string[] arguments =
        [
            "-q",
            "-i",
            "lo",
            "-f",
            filter,
            "-b",
            $"filesize:{FileKilobytes}",
            "-b",
            $"files:{Files}",
            "-w",
            file,
        ];
        _dumpcap = Process.Start(
            new ProcessStartInfo("dumpcap", arguments) { RedirectStandardError = true }
        )!;
        // It says where it writes once it captures.
        while (
            _dumpcap.StandardError.ReadLine() is { } line
            && !line.StartsWith("File:", StringComparison.Ordinal)
        ) { }
        // Read on, else a full pipe would hold it up.
        _ = _dumpcap.StandardError.ReadToEndAsync();
    }

    /// <summary>CIP messages by service, requests alone; and frames that the dissector calls malformed.</summary>
    public sealed record Contents(
        long Bytes,
        SortedDictionary<int, long> Requests,
        long Malformed,
        bool IsWhole
    );

    public async Task<Contents> EndAsync()
    {
        // What the kernel still holds of the agent's goodbye.
        await Task.Delay(TimeSpan.FromSeconds(2), TimeProvider.System);
        using (Process kill = Process.Start("kill", ["-TERM", $"{_dumpcap.Id}"]))
            await kill.WaitForExitAsync();
        await _dumpcap.WaitForExitAsync();
        FileInfo[] files = [.. _directory.GetFiles("frames_*").OrderBy(file => file.Name)];
        string all = Path.Combine(_directory.FullName, "all.pcapng");
        using (
            Process merge = Process.Start(
                "mergecap",
                ["-a", "-w", all, .. files.Select(file => file.FullName)]
            )
        )
            await merge.WaitForExitAsync();
        SortedDictionary<int, long> requests = [];
        long malformed = 0;
        await foreach (
            string line in DissectAsync(all, "cip || _ws.malformed", "cip.rr", "cip.sc", "_ws.malformed")
        )
        {
            Count(line, requests);
            malformed += line.EndsWith('\t') ? 0 : 1;
        }
        return new Contents(files.Sum(file => file.Length), requests, malformed, files.Length < Files);
    }

    public void Dispose()
    {
        if (!_dumpcap.HasExited)
            _dumpcap.Kill();
        _dumpcap.Dispose();
        _directory.Delete(recursive: true);
    }

    /// <summary>A packet of services has several in one frame, apart by commas.</summary>
    private static void Count(string line, SortedDictionary<int, long> requests)
    {
        string[] fields = line.Split('\t');
        // All in one frame go the same way.
        if (!fields[0].StartsWith("0x00", StringComparison.Ordinal))
            return;
        foreach (string known in fields[1].Split(','))
        {
            int service =
                int.Parse(known.AsSpan(2), NumberStyles.HexNumber, CultureInfo.InvariantCulture) & 0x7F;
            requests[service] = requests.GetValueOrDefault(service) + 1;
        }
    }

    private async IAsyncEnumerable<string> DissectAsync(string file, string filter, params string[] fields)
    {
        string[] arguments =
        [
            "-r",
            file,
            .. _ports.SelectMany(port => new[] { "-d", $"tcp.port=={port},enip" }),
            "-Y",
            filter,
            "-T",
            "fields",
            .. fields.SelectMany(field => new[] { "-e", field }),
        ];
        using Process tshark = Process.Start(
            new ProcessStartInfo("tshark", arguments)
            {
                RedirectStandardOutput = true,
                RedirectStandardError = true,
            }
        )!;
        tshark.ErrorDataReceived += static (_, _) => { };
        tshark.BeginErrorReadLine();
        while (await tshark.StandardOutput.ReadLineAsync() is { } line)
            yield return line;
        await tshark.WaitForExitAsync();
        if (tshark.ExitCode != 0)
            throw new InvalidOperationException($"tshark ended with code {tshark.ExitCode}.");
    }
}
