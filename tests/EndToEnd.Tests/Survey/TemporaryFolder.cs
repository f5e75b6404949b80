namespace Dancerwatch.EndToEnd.Tests.Survey;

/// <summary>A folder that is gone after the test.</summary>
internal sealed class TemporaryFolder : IDisposable
{
    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-survey-");

    public string PathOf(string name) => Path.Combine(_directory.FullName, name);

    public void Dispose() => _directory.Delete(recursive: true);
}
