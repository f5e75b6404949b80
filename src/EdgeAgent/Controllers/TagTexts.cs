using System.Text;

namespace Dancerwatch.EdgeAgent.Controllers;

/// <summary>Texts of tags: the same instance while a text stays the same.</summary>
internal sealed class TagTexts(int count)
{
    private readonly string?[] _texts = new string?[count];

    /// <param name="bytes">One byte a character (Latin-1).</param>
    public string Of(int tag, ReadOnlySpan<byte> bytes)
    {
        string? last = _texts[tag];
        return last is not null && Same(last, bytes) ? last : _texts[tag] = Encoding.Latin1.GetString(bytes);
    }

    private static bool Same(string text, ReadOnlySpan<byte> bytes)
    {
        if (text.Length != bytes.Length)
            return false;
        for (int i = 0; i < bytes.Length; i++)
        {
            if (text[i] != bytes[i])
                return false;
        }
        return true;
    }
}
