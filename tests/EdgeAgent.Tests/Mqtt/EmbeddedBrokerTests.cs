using Dancerwatch.EdgeAgent.Mqtt;
using MQTTnet;
using MQTTnet.Formatter;

namespace Dancerwatch.EdgeAgent.Tests.Mqtt;

public sealed class EmbeddedBrokerTests
{
    [Fact]
    public async Task Clients_that_bring_no_name_are_let_in_beside_each_other()
    {
        await using EmbeddedBroker broker = await EmbeddedBroker.StartAsync();
        using IMqttClient one = new MqttClientFactory().CreateMqttClient();
        using IMqttClient other = new MqttClientFactory().CreateMqttClient();
        MqttClientOptions options = new MqttClientOptionsBuilder()
            .WithTcpServer("127.0.0.1", broker.Port)
            .WithProtocolVersion(MqttProtocolVersion.V500) // the library's server turns them away by 3.1.1
            .WithClientId("")
            .WithCleanSession()
            .Build();

        foreach (IMqttClient client in (IMqttClient[])[one, other])
        {
            MqttClientConnectResult result = await client.ConnectAsync(
                options,
                TestContext.Current.CancellationToken
            );
            Assert.Equal(MqttClientConnectResultCode.Success, result.ResultCode);
        }
        Assert.True(one.IsConnected);
    }
}
