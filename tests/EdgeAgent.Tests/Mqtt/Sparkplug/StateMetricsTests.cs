using System.Text.Json;
using Dancerwatch.EdgeAgent.Mqtt.Sparkplug;
using Dancerwatch.EdgeAgent.Tests.Watching;
using Dancerwatch.EdgeAgent.Tests.Watching.Payloads;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Tests.Mqtt.Sparkplug;

/// <summary>Devices and JSON topics say the same of a machine.</summary>
public sealed class StateMetricsTests
{
    /// <summary>Everything known, every condition raised.</summary>
    private static readonly MachineState s_known = StatePayloadsTests.StateOf(12.25) with
    {
        Open =
        [
            .. Enum.GetValues<Condition>()
                .Select(condition => new OpenCondition(
                    Machines.Milliseconds,
                    Machines.LimitApproach with
                    {
                        Condition = condition,
                    }
                )),
        ],
        Fill = StatePayloadsTests.StateOf(12.25).Fill with { Fault = FillFault.BadSetPoints },
        Regime = StatePayloadsTests.StateOf(12.25).Regime with { TripSide = Side.Full },
    };

    [Fact]
    public void Each_field_of_the_JSON_states_is_a_metric_of_the_same_value_and_of_a_fitting_type()
    {
        Dictionary<string, MetricValue> metrics = StateMetrics
            .Of(s_known)
            .ToDictionary(metric => metric.Name, metric => metric.Value);

        int fields = 0;
        foreach (StatePayload payload in StatePayloads.Of(s_known))
        {
            foreach (JsonProperty field in JsonDocument.Parse(payload.Json).RootElement.EnumerateObject())
            {
                if (field.Name is "machine" or "ts" or "quality")
                    continue;
                fields++;
                string name = $"{payload.Name}/{field.Name}";
                MetricValue value = metrics[name];
                // What is null here would let a wrong type pass.
                Assert.True(field.Value.ValueKind is JsonValueKind.Number or JsonValueKind.String, name);
                if (field.Value.ValueKind == JsonValueKind.String)
                    Assert.Equal(
                        (name, MetricType.String, field.Value.GetString()),
                        (name, value.Type, value.Text)
                    );
                else if (value.Type == MetricType.Double)
                    Assert.Equal((name, field.Value.GetDouble()), (name, value.Number));
                else
                    Assert.Equal((name, (long)field.Value.GetDouble()), (name, value.Whole));
            }
        }
        Assert.Equal(fields + 1, metrics.Count); // and quality, once
        Assert.Equal("partial", metrics["quality"].Text);
    }

    [Fact]
    public void What_is_not_known_is_null_and_keeps_its_type()
    {
        Dictionary<string, MetricValue> known = StateMetrics
            .Of(s_known)
            .ToDictionary(metric => metric.Name, metric => metric.Value);

        IReadOnlyList<NamedValue> unknown = StateMetrics.Of(
            StatePayloadsTests.StateOf(double.NaN, readings: 0) with
            {
                Open = [],
            }
        );

        Assert.All(unknown, metric => Assert.Equal(known[metric.Name].Type, metric.Value.Type));
        Assert.Equal(known.Keys, unknown.Select(metric => metric.Name));
        Assert.Contains(unknown, metric => metric is { Name: "margin/full_margin_s", Value.IsNull: true });
        Assert.Contains(
            unknown,
            metric => metric is { Name: "conditions/data_lost_since", Value.IsNull: true }
        );
    }

    [Theory]
    [InlineData("margin/full_margin", MetricType.Double)]
    [InlineData("bands/readings_8h", MetricType.Int64)]
    [InlineData("conditions/raised", MetricType.Int64)]
    [InlineData("conditions/off_target_since", MetricType.DateTime)]
    [InlineData("conditions/off_target", MetricType.String)]
    public void Types_are_those_of_the_documentation(string name, object type) =>
        Assert.Equal(type, StateMetrics.Of(s_known).Single(metric => metric.Name == name).Value.Type);
}
