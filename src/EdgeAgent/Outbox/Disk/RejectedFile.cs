using Dancerwatch.EdgeAgent.Watching.Payloads;

namespace Dancerwatch.EdgeAgent.Outbox.Disk;

/// <summary>
/// Events that no broker took, for a person to read: one JSON object a line, with the broker's answer. Two files of at most
/// half a megabyte; the older one gives way. One thread.
/// </summary>
internal sealed class RejectedFile(IStateFolder folder)
{
    public const string Name = "rejected.jsonl";
    public const string OlderName = "rejected.older.jsonl";

    private const long FullSize = 512 << 10;

    /// <exception cref="IOException">It could not be written.</exception>
    public void Add(OutboxEntry rejected, string answer)
    {
        byte[] line =
        [
            .. FlatJson.Of(json =>
            {
                json.WriteString("answer", answer);
                json.WritePropertyName("event");
                json.WriteRawValue(rejected.Payload);
            }),
            (byte)'\n',
        ];
        IStateFile file = folder.OpenAlone(Name);
        try
        {
            if (file.Length + line.Length > FullSize)
            {
                file.Dispose();
                folder.Rename(Name, OlderName);
                file = folder.OpenAlone(Name);
            }
            file.Write(file.Length, line);
        }
        finally
        {
            file.Dispose();
        }
    }
}
