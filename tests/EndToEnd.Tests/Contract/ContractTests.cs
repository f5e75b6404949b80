using System.Text.Json;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.EndToEnd.Tests.Demo;

namespace Dancerwatch.EndToEnd.Tests.Contract;

/// <summary>docs/asyncapi.yaml and the schemas beside it, by validators that are not ours (ajv, the parser of the AsyncAPI project, the SDK of the CloudEvents project).</summary>
public sealed class ContractTests(DemoCapture demo)
{
    private const string Hall = "dancerwatch/v1/leafside/tea-hall";
    private static readonly MachinePlace s_tea1 = new("leafside", "tea-hall", "line-1", "tea-1");

    // Sent where something went wrong, which the demo does not show.
    private static readonly PublishedMessage s_loss = new(
        $"{Hall}/agents/dancerwatch-tea-hall/event",
        CloudEvent.ContentType,
        Qos: 1,
        Retain: false,
        Encoded(
            LossPayload.Of(
                "/leafside/tea-hall/agents/dancerwatch-tea-hall",
                "dancerwatch-tea-hall",
                new LostRange(412, 519, 108),
                1_795_620_011_208
            )
        )
    );

    private static readonly PublishedMessage s_will = new(
        $"{Hall}/agents/dancerwatch-tea-hall/status",
        StatePayloads.ContentType,
        Qos: 1,
        Retain: true,
        Encoded(StatusPayload.OfAgent("dancerwatch-tea-hall", online: false, milliseconds: null))
    );

    private static readonly PublishedMessage s_status = new(
        $"{Hall}/line-1/tea-1/status",
        StatePayloads.ContentType,
        Qos: 1,
        Retain: true,
        Encoded(
            StatusPayload.OfMachine(
                s_tea1,
                "dancerwatch-tea-hall",
                online: true,
                milliseconds: 1_795_620_011_208
            )
        )
    );

    [Fact]
    public async Task Every_message_of_a_whole_demo_fits_the_contract_and_so_do_those_of_bad_times()
    {
        await demo.RanAsync();
        PublishedMessage[] messages = [.. demo.Published, s_loss, s_will];

        ContractVerdict verdict = await ContractValidator.JudgeAsync(messages);

        Assert.Empty(verdict.Document);
        Assert.True(verdict.Refused.Count == 0, Told(verdict, messages));
        Assert.Equal(messages.Length, verdict.Fitting.Values.Sum());
        Assert.Equal(11, verdict.Fitting.Count);
        // Four machines, two minutes, a state each second.
        Assert.All(
            verdict.Fitting.Where(channel => channel.Key.StartsWith("state", StringComparison.Ordinal)),
            channel => Assert.InRange(channel.Value, 4 * 90, 4 * 1_000)
        );
        Assert.InRange(verdict.Fitting["event"], 6, 1_000);
    }

    [Fact]
    public async Task The_demos_events_are_numbered_without_a_gap()
    {
        await demo.RanAsync();

        long[] sequences =
        [
            .. demo
                .Published.Where(message => message.ContentType == CloudEvent.ContentType)
                .Select(message => JsonDocument.Parse(message.Payload).RootElement)
                .Select(sent => long.Parse(sent.GetProperty("sequence").GetString()!)),
        ];

        Assert.NotEmpty(sequences);
        Assert.Equal(Enumerable.Range(1, sequences.Length).Select(i => (long)i), sequences);
    }

    [Fact]
    public async Task What_is_wrong_is_refused_for_what_is_wrong_with_it()
    {
        await AssertRefusedAsync(
            (s_status with { Topic = $"{Hall}/line-1/status" }, "no channel has the topic"),
            (s_status with { Retain = false }, "retain is false, not true"),
            (s_loss with { Retain = true }, "retain is true, not false"),
            (s_loss with { Qos = 0 }, "qos is 0, not 1"),
            (s_loss with { ContentType = "application/json" }, "content type application/json"),
            (s_will.With("null", "NaN"), "not JSON"),
            (s_will.With("\"offline\"", "\"away\""), "/status must be equal to one of the allowed values"),
            (s_will.With("null", "\"yesterday\""), "/ts must be integer,null"),
            (s_status.With("1795620011208", "null"), "/ts must be integer"),
            (s_status.With("1795620011208", "1795620011.5"), "/ts must be integer"),
            (s_status.With("\"agent\"", "\"daemon\""), "must have required property 'agent'"),
            (
                s_status.With("{\"machine\"", "{\"speed\":{\"m_min\":12},\"machine\""),
                "must NOT have additional properties"
            ),
            (s_loss.With("\"specversion\":\"1.0\"", "\"specversion\":\"9.1\""), "/specversion must be equal"),
            (s_loss.With("\"source\"", "\"origin\""), "CloudEvents: invalid payload"),
            (
                s_loss.With("\"id\":\"dancerwatch-tea-hall:lost:412:519\",", ""),
                "must have required property 'id'"
            ),
            (s_loss.With("T", " "), "/time must match"),
            (s_loss.With("\"sequence\":\"0000000519\"", "\"sequence\":519"), "/sequence must be string"),
            (s_loss.With("\"events\":108", "\"events\":-1"), "/data/events must be >= 0"),
            (
                s_loss.With("dancerwatch.events.lost", "dancerwatch.condition.raised"),
                "/type must be equal to one of the allowed values"
            )
        );
    }

    [Fact]
    public async Task A_message_of_the_demo_with_one_thing_wrong_is_refused()
    {
        await demo.RanAsync();
        PublishedMessage told = Published("/event");
        PublishedMessage margin = Published("/state/margin");
        PublishedMessage conditions = Published("/state/conditions");

        await AssertRefusedAsync(
            (told.With(m => m["data"]!["probability"] = 1.2), "/data/probability must be <= 1"),
            (told.With(m => m["data"]!["cause"] = "gremlins"), "/data/cause must be equal to one of"),
            (told.With(m => m["data"]!["fill"] = "37 %"), "/data/fill must be number,null"),
            (told.With(m => m["data"]!["state"] = null), "/data/state must be string"),
            (told.With(m => m["data"] = "raised"), "/data must be object"),
            (told.With(m => m["id"] = "42"), "/id must match"),
            (told.With(m => m["source"] = "tea-2"), "/source must match"),
            (told.With(m => m["Source"] = "/leafside"), "must NOT have additional properties"),
            (margin.With(m => m.Remove("side")), "must have required property 'side'"),
            (margin.With(m => m["quality"] = "fair"), "/quality must be equal to one of"),
            (conditions.With(m => m["raised"] = 0.5), "/raised must be integer"),
            (
                conditions.With(m => m["trip_likely_side"] = "left"),
                "/trip_likely_side must be equal to one of"
            )
        );
    }

    private PublishedMessage Published(string topic) =>
        demo.Published.First(message => message.Topic.EndsWith(topic, StringComparison.Ordinal));

    private static async Task AssertRefusedAsync(params (PublishedMessage Message, string Why)[] wrong)
    {
        ContractVerdict verdict = await ContractValidator.JudgeAsync(wrong.Select(each => each.Message));

        Assert.Empty(verdict.Fitting);
        for (int i = 0; i < wrong.Length; i++)
            Assert.Contains(wrong[i].Why, verdict.Refused[i], StringComparison.Ordinal);
    }

    private static string Encoded(byte[] payload) => System.Text.Encoding.UTF8.GetString(payload);

    private static string Told(ContractVerdict verdict, PublishedMessage[] messages) =>
        string.Join(
            '\n',
            verdict.Refused.Take(5).Select(refused => $"{messages[refused.Key].Payload}\n  {refused.Value}")
        );
}
