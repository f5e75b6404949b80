using System.Diagnostics;

namespace Dancerwatch.EndToEnd.Tests.Outbox;

/// <summary>A disk of 600 kB, mounted in memory. Mounting takes root: the test is skipped where we are not.</summary>
internal sealed class SmallDisk : IAsyncDisposable
{
    private readonly string _filler;

    private SmallDisk(string place)
    {
        Place = place;
        _filler = Path.Combine(place, "filler");
    }

    /// <summary>Where it is mounted.</summary>
    public string Place { get; }

    /// <param name="readOnly">Whether it can only be read.</param>
    public static async Task<SmallDisk> MountAsync(string place, bool readOnly = false)
    {
        Directory.CreateDirectory(place);
        string options = readOnly ? "size=600k,ro" : "size=600k";
        int code = await RunAsync("mount", "-t", "tmpfs", "-o", options, "dancerwatch-test", place);
        Assert.SkipWhen(
            code != 0,
            "Mounting a small disk takes root (Debian: sudo, and util-linux for mount)."
        );
        return new SmallDisk(place);
    }

    /// <summary>Takes all the space that is left.</summary>
    public void Fill()
    {
        byte[] block = new byte[4096];
        using FileStream file = new(
            _filler,
            FileMode.Append,
            FileAccess.Write,
            FileShare.None,
            bufferSize: 0
        );
        try
        {
            while (true)
                file.Write(block);
        }
        catch (IOException)
        {
            // It is full.
        }
    }

    public void Free() => File.Delete(_filler);

    public async ValueTask DisposeAsync()
    {
        // A process that has just been killed may still hold it for a moment.
        for (int i = 0; i < 50 && await RunAsync("umount", Place) != 0; i++)
            await Task.Delay(100);
    }

    private static async Task<int> RunAsync(string program, params string[] arguments)
    {
        ProcessStartInfo start = new(program, arguments) { RedirectStandardError = true };
        try
        {
            using Process process = Process.Start(start)!;
            await process.WaitForExitAsync();
            return process.ExitCode;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return -1; // there is no such program
        }
    }
}
