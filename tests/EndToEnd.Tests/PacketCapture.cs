namespace Dancerwatch.EndToEnd.Tests;

/// <summary>Packets of one port of the loopback, written down by tshark from a moment on that is known.</summary>
internal static class PacketCapture
{
    /// <param name="file">Where packets are written; not there yet.</param>
    /// <returns>What captures until it is interrupted; null, and why, where it may not.</returns>
    public static async Task<(ToolProcess? Capture, string? Refusal)> StartAsync(
        string tshark,
        int port,
        string file
    )
    {
        ToolProcess capture = new(tshark, "-q", "-i", "lo", "-f", $"tcp port {port}", "-w", file);
        string? refusal = null;
        // It says "Capturing on" a while before it does: the file is begun once it hears.
        await Eventually.IsTrueAsync(
            () =>
                (refusal = Refusal(capture)) is not null
                || (File.Exists(file) && new FileInfo(file).Length > 0),
            "tshark to capture"
        );
        if (refusal is null)
            return (capture, null);
        await capture.DisposeAsync();
        return (null, $"tshark may not capture here: {refusal}");
    }

    private static string? Refusal(ToolProcess capture) =>
        capture.Lines.FirstOrDefault(line => line.Contains("permission", StringComparison.OrdinalIgnoreCase));
}
