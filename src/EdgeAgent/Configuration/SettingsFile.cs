namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>A configuration that can be used, or everything that is wrong with it.</summary>
/// <param name="Settings">Null where there are errors.</param>
/// <param name="Errors">In the order of the file's lines.</param>
public sealed record SettingsResult(AgentSettings? Settings, IReadOnlyList<SettingError> Errors);

/// <summary>Loads configurations: JSON with comments. All that is wrong is told at once, a key nobody knows is wrong.</summary>
public static class SettingsFile
{
    /// <summary>Larger than any configuration of hundreds of machines.</summary>
    private const long MaximumBytes = 16 << 20;

    /// <summary>Loads a file. A file that cannot be read is one of the errors.</summary>
    public static SettingsResult Load(string path) => Load(path, AgentShape.Read);

    /// <inheritdoc cref="Load(string)"/>
    /// <param name="numbers">Takes each machine's numbers as they are in force, in the order of its machines.</param>
    internal static SettingsResult Load(string path, List<List<NotedNumber>> numbers) =>
        Load(path, section => AgentShape.Read(new NotingSection(section, numbers)));

    private static SettingsResult Load(string path, Func<Section, AgentSettings> shape)
    {
        try
        {
            FileInfo file = new(path);
            if (file.Exists && file.Length > MaximumBytes)
                return Refused(
                    new SettingError(
                        0,
                        "The file",
                        $"has {file.Length} bytes",
                        $"up to {MaximumBytes}",
                        "Is it the right file?"
                    )
                );
            return Parse(File.ReadAllBytes(path), Path.GetDirectoryName(Path.GetFullPath(path))!, shape);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            string what = e is FileNotFoundException or DirectoryNotFoundException
                ? "does not exist"
                : $"cannot be read: {e.Message}";
            return Refused(
                new SettingError(
                    0,
                    "The file",
                    what,
                    "",
                    "Give the path of a configuration; config/example.jsonc is one to start from."
                )
            );
        }
    }

    /// <summary>Reads a configuration's text.</summary>
    /// <param name="utf8">The text, UTF-8.</param>
    /// <param name="directory">Directory that relative file names in it start from.</param>
    public static SettingsResult Parse(ReadOnlySpan<byte> utf8, string directory) =>
        Parse(utf8, directory, AgentShape.Read);

    private static SettingsResult Parse(
        ReadOnlySpan<byte> utf8,
        string directory,
        Func<Section, AgentSettings> shape
    )
    {
        List<SettingError> errors = [];
        if (JsonTree.Parse(utf8, errors) is not { } json)
            return new SettingsResult(null, errors);
        AgentSettings settings = FileSection.Read(json, "", errors, shape);
        return errors.Count > 0
            ? new SettingsResult(null, [.. errors.OrderBy(error => error.Line)])
            : new SettingsResult(InDirectory(settings, directory), []);
    }

    /// <summary>Writes the JSON Schema of the configuration.</summary>
    public static void WriteSchema(Stream into) =>
        SchemaSection.Write(into, "Configuration of Dancerwatch", AgentShape.Read);

    private static SettingsResult Refused(SettingError error) => new(null, [error]);

    /// <summary>The settings with every file name whole.</summary>
    private static AgentSettings InDirectory(AgentSettings settings, string directory)
    {
        return settings with
        {
            StateDirectory = Whole(settings.StateDirectory),
            Recordings = settings.Recordings with { Directory = Whole(settings.Recordings.Directory) },
            StatusPage = settings.StatusPage with { TokenFile = Whole(settings.StatusPage.TokenFile) },
            Mqtt = (MqttSettings?)Broker(settings.Mqtt),
            Sparkplug = (SparkplugSettings?)Broker(settings.Sparkplug),
        };

        BrokerSettings? Broker(BrokerSettings? broker) =>
            broker is null
                ? null
                : broker with
                {
                    PasswordFile = Whole(broker.PasswordFile),
                    Tls = broker.Tls is not { } tls
                        ? null
                        : tls with
                        {
                            CaFile = Whole(tls.CaFile),
                            ClientCertificateFile = Whole(tls.ClientCertificateFile),
                            ClientKeyFile = Whole(tls.ClientKeyFile),
                        },
                };

        string? Whole(string? file) => file is null ? null : FileNames.Whole(directory, file);
    }
}
