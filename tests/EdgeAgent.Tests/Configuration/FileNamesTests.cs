using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Mqtt;

namespace Dancerwatch.EdgeAgent.Tests.Configuration;

public sealed class FileNamesTests
{
    [Theory]
    [InlineData("hall-ca.pem", "/etc/dancerwatch/hall-ca.pem")]
    [InlineData("/etc/ssl/hall-ca.pem", "/etc/ssl/hall-ca.pem")]
    public void A_file_name_starts_from_the_configurations_directory(string file, string whole)
    {
        Assert.Equal(whole, FileNames.Whole("/etc/dancerwatch", file));
    }

    [Fact]
    public void A_credential_is_where_systemd_says_and_without_systemd_the_trouble_is_told()
    {
        const string variable = "CREDENTIALS_DIRECTORY";
        const string name = "$CREDENTIALS_DIRECTORY/mqtt-password";
        try
        {
            Environment.SetEnvironmentVariable(variable, "/run/credentials/dancerwatch.service");
            Assert.Equal(
                "/run/credentials/dancerwatch.service/mqtt-password",
                FileNames.Whole("/etc/dancerwatch", name)
            );
        }
        finally
        {
            Environment.SetEnvironmentVariable(variable, null);
        }
        MqttSettings settings = new()
        {
            Host = "127.0.0.1",
            UserName = "tea-hall",
            PasswordFile = FileNames.Whole("/etc/dancerwatch", name),
        };

        BrokerException trouble = Assert.Throws<BrokerException>(() =>
            ConnectOptions.Of(settings, will: null)
        );

        Assert.Contains(name, trouble.Message, StringComparison.Ordinal);
        Assert.Contains("LoadCredential=", trouble.Message, StringComparison.Ordinal);
    }
}
