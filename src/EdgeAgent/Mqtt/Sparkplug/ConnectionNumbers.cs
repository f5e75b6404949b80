using System.Buffers.Text;
using System.Globalization;
using System.Text;
using Dancerwatch.EdgeAgent.Outbox.Disk;

namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>
/// Numbers our connections from 0 to 255 and round again (Sparkplug's bdSeq), so that a host can tell the death that ends a
/// connection from one that comes late. The last is kept on disk before it is used: after a kill another number is next.
/// </summary>
/// <remarks>A file of the number in three digits. So small a write is whole or not there, and needs no space a full disk would lack.</remarks>
internal sealed class ConnectionNumbers : IDisposable
{
    public const string FileName = "bdseq";

    private const int Numbers = 256;
    private const int Length = 4;

    private readonly IStateFile? _file;
    private int _last;

    /// <param name="folder">Null: in memory only, and from 0 with each start.</param>
    /// <exception cref="IOException">The file cannot be had; the message says what to try.</exception>
    public ConnectionNumbers(IStateFolder? folder)
    {
        _last = -1;
        if (folder is null)
            return;
        try
        {
            _file = folder.OpenAlone(FileName);
            Span<byte> text = stackalloc byte[Length];
            int length = _file.Read(0, text);
            // Of a file that is new, or not as we wrote it, the first is next.
            if (
                length == Length
                && Utf8Parser.TryParse(text, out byte last, out int digits)
                && digits == Length - 1
            )
                _last = last;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw StateFolder.Unusable(folder.Path, e);
        }
    }

    /// <summary>The next number.</summary>
    /// <param name="trouble">Why it is not on disk; null where it is, or where it need not be.</param>
    public int Next(out string? trouble)
    {
        _last = (_last + 1) % Numbers;
        trouble = null;
        try
        {
            _file?.Write(
                0,
                Encoding.ASCII.GetBytes(string.Create(CultureInfo.InvariantCulture, $"{_last:D3}\n"))
            );
            _file?.Flush();
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            trouble = e.Message;
        }
        return _last;
    }

    public void Dispose() => _file?.Dispose();
}
