using System.Reflection;
using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EdgeAgent.Demo;

/// <summary><c>config/tea-hall.jsonc</c>, as it was when the program was built, on other ports.</summary>
internal static class TeaHallSettings
{
    private const string Resource = "tea-hall.jsonc";

    /// <param name="controllerPort">Where the hall's controller listens, on loopback.</param>
    /// <param name="brokerPort">Where the broker listens, on loopback.</param>
    /// <exception cref="InvalidOperationException">The file does not suit the program; a test holds that it does.</exception>
    public static AgentSettings Load(int controllerPort, int brokerPort)
    {
        SettingsResult result = SettingsFile.Parse(Text(), AppContext.BaseDirectory);
        if (result.Settings is not { } settings)
            throw new InvalidOperationException(string.Join('\n', result.Errors));
        return settings with
        {
            Controllers =
            [
                .. settings.Controllers.Select(controller => controller with { Port = controllerPort }),
            ],
            Mqtt = settings.Mqtt! with { Port = brokerPort },
        };
    }

    /// <summary>The file.</summary>
    public static byte[] Text()
    {
        using Stream stream = Assembly.GetExecutingAssembly().GetManifestResourceStream(Resource)!;
        byte[] text = new byte[stream.Length];
        stream.ReadExactly(text);
        return text;
    }
}
