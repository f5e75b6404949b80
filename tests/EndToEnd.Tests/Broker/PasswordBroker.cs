using System.Diagnostics;
using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EndToEnd.Tests.Broker;

/// <summary>Debian's mosquitto, with one user who has a password.</summary>
internal sealed class PasswordBroker : IAsyncDisposable
{
    private readonly string _broker = ToolProcess.Require("mosquitto");
    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-password-");
    private readonly int _port = LoopbackPort.Free();
    private readonly string _user;
    private ToolProcess? _running;

    public PasswordBroker(string user, string password)
    {
        _user = user;
        string passwords = PathOf("passwords");
        using Process hash = Process.Start(
            ToolProcess.Require("mosquitto_passwd"),
            ["-b", "-c", passwords, user, password]
        );
        hash.WaitForExit();
        Assert.Equal(0, hash.ExitCode);
        File.WriteAllText(
            PathOf("mosquitto.conf"),
            $"""
            listener {_port} 127.0.0.1
            user {Environment.UserName}
            allow_anonymous false
            password_file {passwords}
            persistence false

            """
        );
    }

    public async Task StartAsync()
    {
        _running = new ToolProcess(_broker, "-v", "-c", PathOf("mosquitto.conf"));
        await _running.LineAsync(line => line.EndsWith("running", StringComparison.Ordinal));
    }

    /// <summary>How the user connects, with this password in a file.</summary>
    public MqttSettings SettingsWith(string password)
    {
        File.WriteAllText(PathOf("password"), $"{password}\n");
        return new MqttSettings
        {
            Host = "127.0.0.1",
            Port = _port,
            UserName = _user,
            PasswordFile = PathOf("password"),
        };
    }

    public async ValueTask DisposeAsync()
    {
        if (_running is not null)
            await _running.DisposeAsync();
        _directory.Delete(recursive: true);
    }

    private string PathOf(string file) => Path.Combine(_directory.FullName, file);
}
