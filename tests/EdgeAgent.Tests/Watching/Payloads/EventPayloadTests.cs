using System.Globalization;
using System.Text;
using System.Text.Json;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Warnings;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Watching.Payloads;

public sealed class EventPayloadTests
{
    private static JsonElement Encoded(ConditionTransition transition, long sequence = 7) =>
        JsonDocument.Parse(EventPayload.Of(Machines.Event(transition), sequence)).RootElement;

    [Fact]
    public void The_context_attributes_are_those_the_specification_requires()
    {
        // CloudEvents 1.0.2, "Required attributes": id, source, specversion "1.0", type: non-empty strings. time is
        // RFC 3339. Attribute names: lower-case letters and digits only.
        JsonElement sent = Encoded(Machines.LimitApproach);

        Assert.Equal("1.0", sent.GetProperty("specversion").GetString());
        Assert.Equal("tea-1:limit-approach:1795595400250:0", sent.GetProperty("id").GetString());
        Assert.Equal("/leafside/tea-hall/line-1/tea-1", sent.GetProperty("source").GetString());
        Assert.Equal("dancerwatch.condition.raised", sent.GetProperty("type").GetString());
        Assert.Equal("application/json", sent.GetProperty("datacontenttype").GetString());
        Assert.Equal("2026-11-25T08:30:00.250Z", sent.GetProperty("time").GetString());
        Assert.True(Uri.TryCreate(sent.GetProperty("source").GetString(), UriKind.Relative, out _));
        Assert.All(sent.EnumerateObject(), attribute => Assert.Matches("^[a-z0-9]+$", attribute.Name));
    }

    [Fact]
    public void The_data_are_the_contracts_fields_in_its_order()
    {
        string[] names =
        [
            "machine",
            "condition",
            "state",
            "priority",
            "side",
            "fill",
            "margin",
            "seconds_to_limit",
            "probability",
            "frequency_hz",
            "amplitude",
            "cause",
            "cause_confidence",
            "cause_2",
            "cause_2_confidence",
            "cause_3",
            "cause_3_confidence",
            "evidence",
            "check",
            "ts",
        ];
        JsonElement data = Encoded(Machines.LimitApproach).GetProperty("data");

        Assert.Equal(names, data.EnumerateObject().Select(field => field.Name));
        Assert.Equal(88.25, data.GetProperty("fill").GetDouble());
        Assert.Equal("full", data.GetProperty("side").GetString());
        Assert.Equal("roll-overrun", data.GetProperty("cause").GetString());
        Assert.Equal(Machines.Milliseconds, data.GetProperty("ts").GetInt64());
    }

    [Fact]
    public void What_is_not_known_is_null()
    {
        JsonElement data = Encoded(Machines.LimitApproach with { Side = Side.None }).GetProperty("data");

        foreach (
            string name in new[] { "side", "frequency_hz", "amplitude", "cause_3", "cause_3_confidence" }
        )
            Assert.Equal(JsonValueKind.Null, data.GetProperty(name).ValueKind);
    }

    [Fact]
    public void An_unknown_first_cause_is_an_answer()
    {
        JsonElement data = Encoded(Machines.LimitApproach with { Causes = default }).GetProperty("data");

        Assert.Equal("unknown", data.GetProperty("cause").GetString());
        Assert.Equal(JsonValueKind.Null, data.GetProperty("cause_2").ValueKind);
    }

    [Fact]
    public void An_unknown_second_cause_is_told_where_it_carries_weight()
    {
        CauseRanking causes = Machines.LimitApproach.Causes with { Second = new(Cause.Unknown, 0.2) };
        JsonElement data = Encoded(Machines.LimitApproach with { Causes = causes }).GetProperty("data");

        Assert.Equal("unknown", data.GetProperty("cause_2").GetString());
        Assert.Equal(0.2, data.GetProperty("cause_2_confidence").GetDouble());
    }

    [Fact]
    public void A_text_that_says_nothing_is_null()
    {
        JsonElement data = Encoded(Machines.LimitApproach with { Check = "" }).GetProperty("data");

        Assert.Equal(JsonValueKind.Null, data.GetProperty("check").ValueKind);
    }

    [Fact]
    public void The_sequence_sorts_as_it_counts()
    {
        // CloudEvents sequence extension: a string, lexicographically orderable.
        string nine = Encoded(Machines.LimitApproach, 9).GetProperty("sequence").GetString()!;
        string ten = Encoded(Machines.LimitApproach, 10).GetProperty("sequence").GetString()!;

        Assert.True(string.CompareOrdinal(nine, ten) < 0);
    }

    [Fact]
    public void The_steps_of_one_occurrence_share_its_onset_and_differ_in_id()
    {
        MachineEvent raised = Machines.Event(Machines.LimitApproach);
        MachineEvent cleared = raised with
        {
            Milliseconds = raised.Milliseconds + 60_000,
            Transition = Machines.LimitApproach with { Step = 1, State = ConditionState.Cleared },
        };

        Assert.Equal("tea-1:limit-approach:1795595400250:1", cleared.Id);
        Assert.NotEqual(raised.Id, cleared.Id);
    }

    [Property]
    public void Any_numbers_and_texts_make_flat_strict_JSON_that_says_them_again(
        double fill,
        double seconds,
        double confidence,
        string evidence
    )
    {
        // System.Text.Json's reader accepts RFC 8259 JSON only, which has no word for NaN or infinity.
        ConditionTransition transition = Machines.LimitApproach with
        {
            FillPercent = fill,
            SecondsToLimit = seconds,
            Causes = new CauseRanking(new RankedCause(Cause.BrakeDrag, confidence), default, default),
            Evidence = evidence ?? "",
        };

        JsonElement data = Encoded(transition).GetProperty("data");

        AssertSays(fill, data.GetProperty("fill"));
        AssertSays(seconds, data.GetProperty("seconds_to_limit"));
        AssertSays(confidence, data.GetProperty("cause_confidence"));
        Assert.All(
            data.EnumerateObject(),
            field => Assert.False(field.Value.ValueKind is JsonValueKind.Object or JsonValueKind.Array)
        );
        // Half a surrogate pair is no text in UTF-8; both sides replace it.
        Assert.Equal(
            Encoding.UTF8.GetString(Encoding.UTF8.GetBytes(transition.Evidence)),
            data.GetProperty("evidence").GetString() ?? ""
        );
    }

    private static void AssertSays(double expected, JsonElement actual)
    {
        if (!double.IsFinite(expected))
        {
            Assert.Equal(JsonValueKind.Null, actual.ValueKind);
            return;
        }
        double sixDigits = double.Parse(
            expected.ToString("E5", CultureInfo.InvariantCulture),
            CultureInfo.InvariantCulture
        );
        Assert.Equal(sixDigits, actual.GetDouble());
    }
}
