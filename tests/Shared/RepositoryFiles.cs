namespace Dancerwatch.Tests;

/// <summary>Files that are committed beside the code, found from wherever the tests run.</summary>
internal static class RepositoryFiles
{
    private static readonly Lazy<string> s_root = new(() =>
    {
        DirectoryInfo? directory = new(AppContext.BaseDirectory);
        while (directory is not null && !File.Exists(Path.Combine(directory.FullName, "Dancerwatch.slnx")))
            directory = directory.Parent;
        return directory?.FullName
            ?? throw new DirectoryNotFoundException("Tests run inside the repository.");
    });

    public static string PathOf(params string[] parts) => Path.Combine([s_root.Value, .. parts]);
}
