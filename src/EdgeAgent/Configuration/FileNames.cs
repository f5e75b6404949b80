namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>File names in a configuration.</summary>
internal static class FileNames
{
    /// <summary>
    /// Beginning of a name that means a systemd credential of this service (LoadCredential= in systemd.exec): systemd says
    /// in the environment where it has put them.
    /// </summary>
    public const string Credential = "$CREDENTIALS_DIRECTORY/";

    /// <summary>The whole name. A credential's stays as it is where systemd handed over none.</summary>
    /// <param name="directory">Where other names start from.</param>
    public static string Whole(string directory, string file)
    {
        if (!file.StartsWith(Credential, StringComparison.Ordinal))
            return Path.Combine(directory, file);
        string? credentials = Environment.GetEnvironmentVariable("CREDENTIALS_DIRECTORY");
        return credentials is { Length: > 0 } ? Path.Combine(credentials, file[Credential.Length..]) : file;
    }
}
