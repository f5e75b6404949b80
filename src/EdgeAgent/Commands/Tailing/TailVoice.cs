using System.Text;
using System.Text.Json;
using Dancerwatch.EdgeAgent.Mqtt;

namespace Dancerwatch.EdgeAgent.Commands.Tailing;

/// <summary>Says warnings that fit, as words or as JSON Lines, and counts what was raised.</summary>
/// <param name="json">The payloads as they came, one a line, in plain ASCII: nothing in them steers a terminal.</param>
/// <param name="colour">Words only.</param>
/// <param name="endsAtFirst">Done with the first that is raised, or changes.</param>
internal sealed class TailVoice(
    TailFilter filter,
    TextWriter output,
    TimeZoneInfo zone,
    bool json,
    bool colour,
    bool endsAtFirst
)
{
    /// <summary>Whether warnings that fit were raised or changed.</summary>
    public bool HasWarned { get; private set; }

    public bool IsDone => endsAtFirst && HasWarned;

    public void Say(ReceivedEvent heard)
    {
        if (IsDone || !filter.Fits(heard))
            return;
        HasWarned |= heard.State != "cleared";
        Write(json ? Line(heard.Payload) : WarningText.Of(heard, zone, colour));
    }

    /// <summary>Lost events may be of any machine: always said.</summary>
    public void Say(ReceivedLoss heard) => Write(json ? Line(heard.Payload) : WarningText.Of(heard, zone));

    private static string Line(ReadOnlyMemory<byte> payload)
    {
        using JsonDocument document = JsonDocument.Parse(payload);
        using MemoryStream line = new();
        using (Utf8JsonWriter writer = new(line))
            document.RootElement.WriteTo(writer);
        line.WriteByte((byte)'\n');
        return Encoding.ASCII.GetString(line.GetBuffer(), 0, (int)line.Length);
    }

    private void Write(string text)
    {
        output.Write(text);
        output.Flush();
    }
}
