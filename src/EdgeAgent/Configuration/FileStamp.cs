namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>When a file was last written, and its length in bytes: another one means that it was changed. Nothing where there is no file.</summary>
internal readonly record struct FileStamp(DateTime Written, long Length)
{
    public static FileStamp Of(string path)
    {
        try
        {
            FileInfo file = new(path);
            // Where names are links, what they lead to is what is renewed.
            file = file.ResolveLinkTarget(returnFinalTarget: true) as FileInfo ?? file;
            return file.Exists ? new FileStamp(file.LastWriteTimeUtc, file.Length) : default;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return default;
        }
    }
}
