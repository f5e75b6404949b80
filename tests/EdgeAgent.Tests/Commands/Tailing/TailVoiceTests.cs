using System.Globalization;
using System.Text;
using System.Text.Json;
using Dancerwatch.EdgeAgent.Commands.Tailing;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Tests.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Tests.Commands.Tailing;

public sealed class TailVoiceTests : IDisposable
{
    private static readonly TailFilter s_all = new([], Priority.Low, []);
    private readonly StringWriter _output = new(CultureInfo.InvariantCulture);

    public void Dispose() => _output.Dispose();

    [Theory]
    [InlineData("tea-1", true)]
    [InlineData("tea-2", false)]
    public void A_machine_that_is_not_meant_is_passed_over(string machine, bool isTold) =>
        Assert.Equal(isTold, IsTold(s_all with { Machines = [machine] }, Priority.High));

    [Theory]
    [InlineData(Priority.Low, Priority.Low, true)]
    [InlineData(Priority.Medium, Priority.Low, false)]
    [InlineData(Priority.Medium, Priority.High, true)]
    [InlineData(Priority.High, Priority.Medium, false)]
    public void A_priority_below_the_least_is_passed_over(Priority least, Priority its, bool isTold) =>
        Assert.Equal(isTold, IsTold(s_all with { Least = least }, its));

    [Theory]
    [InlineData("limit-approach", true)]
    [InlineData("margin-low", false)]
    public void A_condition_that_is_not_meant_is_passed_over(string condition, bool isTold) =>
        Assert.Equal(isTold, IsTold(s_all with { Conditions = [condition] }, Priority.High));

    [Fact]
    public void As_JSON_a_warning_is_one_line_of_ASCII_that_says_the_same()
    {
        byte[] sent = Encoding.UTF8.GetBytes(
            Encoding
                .UTF8.GetString(EventPayload.Of(Machines.Event(Machines.LimitApproach), 1))
                .Replace("Fill rose", "Fill \u009b2J ±", StringComparison.Ordinal)
                .Replace("{\"", "{\n  \"", StringComparison.Ordinal)
        );

        Voice(s_all, json: true).Say(Read(sent));

        string line = _output.ToString();
        Assert.Equal(line.Length - 1, line.IndexOf('\n', StringComparison.Ordinal));
        Assert.All(line.TrimEnd('\n'), letter => Assert.InRange(letter, ' ', '~'));
        using JsonDocument told = JsonDocument.Parse(line);
        using JsonDocument original = JsonDocument.Parse(sent);
        Assert.True(JsonElement.DeepEquals(original.RootElement, told.RootElement));
    }

    [Fact]
    public void Colour_is_there_only_where_it_is_asked_for()
    {
        Voice(s_all).Say(Heard(Priority.High));
        string plain = _output.ToString();
        _output.GetStringBuilder().Clear();
        Voice(s_all, colour: true).Say(Heard(Priority.High));

        Assert.DoesNotContain("\e", plain, StringComparison.Ordinal);
        Assert.Contains("\e[1;31mtea-1  limit-approach raised", _output.ToString(), StringComparison.Ordinal);
        Assert.Equal(
            plain,
            _output
                .ToString()
                .Replace("\e[1;31m", "", StringComparison.Ordinal)
                .Replace("\e[0m", "", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void With_the_first_it_is_done_and_says_no_second()
    {
        TailVoice voice = Voice(s_all, endsAtFirst: true);
        voice.Say(Heard(Priority.High, ConditionState.Cleared));
        Assert.False(voice.IsDone);

        voice.Say(Heard(Priority.High));
        string first = _output.ToString();
        voice.Say(Heard(Priority.High));

        Assert.True(voice.IsDone);
        Assert.Equal(first, _output.ToString());
    }

    private bool IsTold(TailFilter filter, Priority priority)
    {
        TailVoice voice = Voice(filter);
        voice.Say(Heard(priority));
        return voice.HasWarned && _output.ToString().Length > 0;
    }

    private TailVoice Voice(
        TailFilter filter,
        bool json = false,
        bool colour = false,
        bool endsAtFirst = false
    ) => new(filter, _output, TimeZoneInfo.Utc, json, colour, endsAtFirst);

    private static ReceivedEvent Heard(Priority priority, ConditionState state = ConditionState.Raised) =>
        Read(
            EventPayload.Of(
                Machines.Event(Machines.LimitApproach with { Priority = priority, State = state }),
                1
            )
        );

    private static ReceivedEvent Read(byte[] payload)
    {
        Assert.True(ReceivedEvent.TryRead(payload, out ReceivedEvent? heard, out string problem), problem);
        return heard;
    }
}
