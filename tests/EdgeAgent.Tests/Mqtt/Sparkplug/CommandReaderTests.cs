using System.Text;
using Dancerwatch.EdgeAgent.Mqtt.Sparkplug;
using FsCheck.Xunit;
using Google.Protobuf;
using Judged = Dancerwatch.EdgeAgent.Tests.Mqtt.Sparkplug.Generated;

namespace Dancerwatch.EdgeAgent.Tests.Mqtt.Sparkplug;

/// <summary>Commands as Google's library writes them, and what else may come on a topic anybody can publish to.</summary>
public sealed class CommandReaderTests
{
    [Fact]
    public void Rebirth_is_understood_when_it_is_true() =>
        Assert.Equal(NodeCommand.Rebirth, CommandReader.Read(Command(EdgeNode.Rebirth, value: true)));

    [Fact]
    public void Rebirth_that_is_false_is_none() =>
        Assert.Equal(NodeCommand.Unknown, CommandReader.Read(Command(EdgeNode.Rebirth, value: false)));

    [Theory]
    [InlineData("Node Control/Reboot")]
    [InlineData("node control/rebirth")]
    [InlineData("Node Control/Rebirth ")]
    [InlineData("")]
    public void Another_command_is_one_we_do_not_have(string name) =>
        Assert.Equal(NodeCommand.Unknown, CommandReader.Read(Command(name, value: true)));

    [Fact]
    public void Rebirth_is_found_among_others()
    {
        Judged.Payload both = Judged.Payload.Parser.ParseFrom(Command("Node Control/Reboot", value: true));
        both.Metrics.Add(new Judged.Metric { Name = EdgeNode.Rebirth, BooleanValue = true });
        both.Metrics.Add(new Judged.Metric { Name = "unwindCommand", DoubleValue = 12 });

        Assert.Equal(NodeCommand.Rebirth, CommandReader.Read(both.ToByteArray()));
    }

    [Theory]
    [InlineData("")]
    [InlineData("{\"rebirth\": true}")]
    [InlineData("true")]
    [InlineData("<rebirth/>")]
    public void Text_is_no_payload(string text) =>
        Assert.Equal(NodeCommand.NotUnderstood, CommandReader.Read(Encoding.UTF8.GetBytes(text)));

    [Property]
    public void Whatever_comes_there_is_an_answer(byte[] payload) =>
        Assert.True(Enum.IsDefined(CommandReader.Read(payload)));

    [Fact]
    public void A_command_cut_off_anywhere_asks_for_nothing()
    {
        byte[] whole = Command(EdgeNode.Rebirth, value: true);

        for (int length = 0; length < whole.Length; length++)
        {
            // Without the command itself, the time it was sent is left: a payload that commands nothing.
            Assert.NotEqual(NodeCommand.Rebirth, CommandReader.Read(whole.AsSpan(0, length)));
        }
    }

    [Fact]
    public void A_length_beyond_the_end_is_no_payload() =>
        Assert.Equal(
            NodeCommand.NotUnderstood,
            CommandReader.Read([0x12, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0x01])
        );

    [Fact]
    public void Reading_a_command_allocates_nothing()
    {
        byte[] command = Command(EdgeNode.Rebirth, value: true);

        Assert.Equal(0, Allocated.Bytes(_ => CommandReader.Read(command)));
    }

    private static byte[] Command(string name, bool value) =>
        new Judged.Payload
        {
            Metrics =
            {
                new Judged.Metric
                {
                    Name = name,
                    Timestamp = 1,
                    Datatype = 11,
                    BooleanValue = value,
                },
            },
            Timestamp = 1,
        }.ToByteArray();
}
