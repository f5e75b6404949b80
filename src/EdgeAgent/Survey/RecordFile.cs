using System.Text.Json;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.EdgeAgent.Survey;

/// <summary>
/// A record on disk. Written whole, beside the old one, and put in its place when it is safely there: a kill, a full disk or a
/// power cut leaves the old or the new one, never half of one.
/// </summary>
internal static class RecordFile
{
    /// <exception cref="IOException">It cannot be read.</exception>
    /// <exception cref="FormatException">It is no record of ours; the message says what is wrong, and what to do.</exception>
    public static SurveyRecord Load(string path)
    {
        using FileStream file = File.OpenRead(path);
        SurveyRecord record;
        try
        {
            record =
                JsonSerializer.Deserialize(file, RecordJson.Default.SurveyRecord)
                ?? throw new JsonException("it holds nothing");
        }
        catch (JsonException e)
        {
            throw new FormatException(
                // What stands after "Path:" is for who wrote the reader.
                $"{path} is no survey record: {e.Message.Split(" Path:")[0]} (Line {(e.LineNumber ?? 0) + 1}.) It was not touched. Name another file."
            );
        }
        return record.Format == SurveyRecord.CurrentFormat
            ? record
            : throw new FormatException(
                $"{path} has the format \"{record.Format}\". Allowed: \"{SurveyRecord.CurrentFormat}\". It was not touched."
            );
    }

    /// <exception cref="IOException">It could not be written; what was there before still is.</exception>
    public static void Save(string path, SurveyRecord record) =>
        Replace(path, stream => JsonSerializer.Serialize(stream, record, RecordJson.Default.SurveyRecord));

    /// <summary>What the file says of a machine, to compare: numbers are rounded there.</summary>
    public static string TextOf(KnownMachine known) =>
        JsonSerializer.Serialize(known, RecordJson.Default.KnownMachine);

    /// <summary>Writes a file whole or not at all.</summary>
    /// <exception cref="IOException">It could not be written; what was there before still is.</exception>
    public static void Replace(string path, Action<Stream> write)
    {
        string beside = path + ".new";
        using (FileStream file = File.Create(beside))
        {
            write(file);
            file.Flush(flushToDisk: true);
        }
        File.Move(beside, path, overwrite: true);
    }
}
