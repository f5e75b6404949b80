using Dancerwatch.EdgeAgent.Mqtt.Sparkplug;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Tests.Watching;
using Dancerwatch.EdgeAgent.Tests.Watching.Payloads;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals.Readings;
using Microsoft.Extensions.Time.Testing;
using Judged = Dancerwatch.EdgeAgent.Tests.Mqtt.Sparkplug.Generated;

namespace Dancerwatch.EdgeAgent.Tests.Mqtt.Sparkplug;

/// <summary>What a node says and in which order, on a clock of the test's, read by Google's library.</summary>
public sealed class EdgeNodeTests
{
    private readonly FakeTimeProvider _time = new(
        DateTimeOffset.FromUnixTimeMilliseconds(Machines.Milliseconds)
    );
    private readonly MonotonicClock _clock;
    private readonly NodeCounters _counters = new();
    private readonly EdgeNode _node;

    public EdgeNodeTests()
    {
        _clock = new MonotonicClock(_time);
        _node = Node(aliases: false);
    }

    [Fact]
    public void Births_are_the_nodes_and_then_each_devices_with_names_types_and_values()
    {
        (string Topic, Judged.Payload Payload)[] births = Read(
            _node.Birth(17, [State("tea-1", 40), State("tea-2", 60)])
        );

        Assert.Equal(
            [
                "spBv1.0/leafside/NBIRTH/tea-hall",
                "spBv1.0/leafside/DBIRTH/tea-hall/tea-1",
                "spBv1.0/leafside/DBIRTH/tea-hall/tea-2",
            ],
            births.Select(birth => birth.Topic)
        );
        Assert.Equal([0, 1, 2], births.Select(birth => (int)birth.Payload.Seq));
        Assert.All(
            births.SelectMany(birth => birth.Payload.Metrics),
            metric =>
            {
                Assert.True(metric.HasName && metric.HasDatatype && metric.HasTimestamp && !metric.HasAlias);
                Assert.Equal(metric.IsNull, metric.ValueCase == Judged.Metric.ValueOneofCase.None);
            }
        );
        Judged.Payload node = births[0].Payload;
        Assert.Equal((4U, 17UL), (Metric(node, "bdSeq").Datatype, Metric(node, "bdSeq").LongValue));
        Assert.Equal(
            (11U, false),
            (Metric(node, EdgeNode.Rebirth).Datatype, Metric(node, EdgeNode.Rebirth).BooleanValue)
        );
        Assert.Equal(40, Metric(births[1].Payload, "fill/fill").DoubleValue);
    }

    [Fact]
    public void A_birth_again_within_a_connection_keeps_its_number_and_starts_the_sequence_anew()
    {
        _node.Birth(17, [State("tea-1", 40)]);
        _node.Changes([State("tea-1", 41)]);

        (_, Judged.Payload again) = Read(_node.Birth(17, [State("tea-1", 42)]))[0];

        Assert.Equal((0UL, 17UL), (again.Seq, Metric(again, "bdSeq").LongValue));
    }

    [Fact]
    public void A_death_has_the_number_of_its_connection_and_nothing_else()
    {
        NodeMessage death = _node.Death(17);
        Judged.Payload payload = Judged.Payload.Parser.ParseFrom(death.Payload);

        Assert.Equal("spBv1.0/leafside/NDEATH/tea-hall", death.Topic);
        Assert.False(payload.HasSeq);
        Judged.Metric number = Assert.Single(payload.Metrics);
        Assert.Equal(("bdSeq", 4U, 17UL), (number.Name, number.Datatype, number.LongValue));
    }

    [Fact]
    public void Only_what_changed_is_told_without_its_type_at_the_readings_time()
    {
        _node.Birth(0, [State("tea-1", 40)]);
        Assert.Empty(_node.Changes([State("tea-1", 40)]));

        MachineState changed = State("tea-1", 40) with
        {
            Milliseconds = Machines.Milliseconds + 980,
            Fill = State("tea-1", 43).Fill with { TargetPercent = 40 },
        };
        (string topic, Judged.Payload data) = Assert.Single(Read(_node.Changes([changed])));

        Assert.Equal("spBv1.0/leafside/DDATA/tea-hall/tea-1", topic);
        Assert.Contains(data.Metrics, metric => metric is { Name: "fill/fill", DoubleValue: 43 });
        Assert.DoesNotContain(data.Metrics, metric => metric.Name == "fill/target");
        Assert.All(
            data.Metrics,
            metric =>
            {
                Assert.False(metric.HasDatatype || metric.HasIsHistorical);
                Assert.Equal((ulong)changed.Milliseconds, metric.Timestamp);
            }
        );
    }

    [Fact]
    public void The_sequence_goes_to_255_and_round_over_births_data_and_deaths()
    {
        List<NodeMessage> said = _node.Birth(0, [State("tea-1", 0)]);
        for (int i = 1; i < 600; i++)
        {
            _time.Advance(TimeSpan.FromSeconds(1));
            // Every tenth second of a minute tea-2 is away.
            bool away = i % 60 < 10;
            said.AddRange(
                _node.Changes([State("tea-1", i), State("tea-2", i, away ? Quality.Bad : Quality.Good)])
            );
        }

        (string Topic, Judged.Payload Payload)[] read = Read(said);
        Assert.Equal(
            Enumerable.Range(0, read.Length).Select(i => (ulong)(i % 256)),
            read.Select(one => one.Payload.Seq)
        );
        Assert.Contains(read, one => one.Topic.Contains("/DDEATH/", StringComparison.Ordinal));
        Assert.InRange(read.Length, 600, 1_300);
    }

    [Fact]
    public void A_device_dies_when_nothing_good_was_read_for_a_while_and_is_born_again_with_the_first_good_reading()
    {
        _node.Birth(0, [State("tea-1", 40)]);
        _time.Advance(EdgeNode.Absence);
        Assert.DoesNotContain("DDEATH", Topics(_node.Changes([Bad("tea-1")])), StringComparison.Ordinal);
        _time.Advance(TimeSpan.FromSeconds(1));

        (string topic, Judged.Payload death) = Assert.Single(Read(_node.Changes([Bad("tea-1")])));

        Assert.Equal("spBv1.0/leafside/DDEATH/tea-hall/tea-1", topic);
        Assert.True(death.HasSeq && death.HasTimestamp);
        Assert.Empty(_node.Changes([Bad("tea-1")]));
        Assert.Equal("spBv1.0/leafside/DBIRTH/tea-hall/tea-1", Topics(_node.Changes([State("tea-1", 41)])));
    }

    [Fact]
    public void A_machine_taken_out_of_the_configuration_dies_too()
    {
        _node.Birth(0, [State("tea-1", 40), State("tea-2", 40)]);
        _time.Advance(EdgeNode.Absence + TimeSpan.FromSeconds(1));

        Assert.Equal("spBv1.0/leafside/DDEATH/tea-hall/tea-2", Topics(_node.Changes([State("tea-1", 40)])));
    }

    [Fact]
    public void A_machine_that_was_never_read_has_no_device()
    {
        Assert.Equal("spBv1.0/leafside/NBIRTH/tea-hall", Topics(_node.Birth(0, [Bad("tea-1")])));
        Assert.Empty(_node.Changes([Bad("tea-1")]));
    }

    [Fact]
    public void An_event_is_told_whole_by_the_node_and_stands_in_its_next_birth()
    {
        _node.Birth(0, [State("tea-1", 40)]);
        _time.Advance(TimeSpan.FromSeconds(1));

        (string topic, Judged.Payload data) = Assert.Single(Read(_node.Tell(Event(_clock.Ticks))));

        Assert.Equal("spBv1.0/leafside/NDATA/tea-hall", topic);
        Assert.Equal("limit-approach", Metric(data, "event/condition").StringValue);
        Assert.All(data.Metrics, metric => Assert.False(metric.IsHistorical));
        Assert.All(data.Metrics, metric => Assert.Equal((ulong)Machines.Milliseconds, metric.Timestamp));
        Judged.Payload again = Read(_node.Birth(0, []))[0].Payload;
        Assert.Equal("limit-approach", Metric(again, "event/condition").StringValue);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void What_happened_before_the_birth_is_historical_of_the_node_and_of_the_machine(bool earlierRun)
    {
        long then = _clock.Ticks;
        _time.Advance(TimeSpan.FromSeconds(1));
        _node.Birth(0, [State("tea-1", 40)]);

        (string Topic, Judged.Payload Payload)[] past = Read(_node.Tell(Event(earlierRun ? null : then)));

        Assert.Equal(
            ["spBv1.0/leafside/NDATA/tea-hall", "spBv1.0/leafside/DDATA/tea-hall/tea-1"],
            past.Select(one => one.Topic)
        );
        Assert.All(past.SelectMany(one => one.Payload.Metrics), metric => Assert.True(metric.IsHistorical));
        Assert.Equal("high", Metric(past[1].Payload, "conditions/limit_approach").StringValue);
        // The present stands: nothing is raised now, and nobody is told otherwise.
        Assert.Empty(_node.Changes([State("tea-1", 40)]));
        Assert.True(Metric(Read(_node.Birth(0, []))[0].Payload, "event/condition").IsNull);
    }

    [Fact]
    public void The_past_of_a_machine_that_is_away_is_told_by_the_node_alone()
    {
        _node.Birth(0, [Bad("tea-1")]);

        Assert.Equal("spBv1.0/leafside/NDATA/tea-hall", Topics(_node.Tell(Event(null))));
    }

    [Fact]
    public void Lost_events_are_told_as_news()
    {
        _node.Birth(0, []);

        Judged.Payload data = Assert.Single(Read(_node.Tell(EventMetricsTests.Lost()))).Payload;

        Assert.Equal(
            (5UL, false),
            (Metric(data, "lost/events").LongValue, Metric(data, "lost/events").IsHistorical)
        );
    }

    [Fact]
    public void What_became_of_commands_is_told_when_it_changes()
    {
        _node.Birth(0, []);
        _counters.CommandIgnored();

        Judged.Payload data = Assert.Single(Read(_node.Changes([]))).Payload;

        Assert.Equal(
            ("commands/ignored", 1UL),
            (Assert.Single(data.Metrics).Name, data.Metrics[0].LongValue)
        );
        Assert.Empty(_node.Changes([]));
    }

    [Fact]
    public void Aliases_are_unique_over_node_and_devices_stay_and_stand_for_the_names_after_the_birth()
    {
        EdgeNode node = Node(aliases: true);
        Judged.Metric[] born =
        [
            .. Read(node.Birth(0, [State("tea-1", 40), State("tea-2", 40)]))
                .SelectMany(one => one.Payload.Metrics),
        ];

        Judged.Metric rebirth = Assert.Single(born, metric => !metric.HasAlias);
        Assert.Equal(EdgeNode.Rebirth, rebirth.Name);
        Assert.Equal(
            born.Length - 1,
            born.Where(metric => metric.HasAlias).Select(metric => metric.Alias).Distinct().Count()
        );
        Judged.Metric fill = born.Last(metric => metric.Name == "fill/fill");

        Judged.Payload data = Assert
            .Single(Read(node.Changes([State("tea-1", 40), State("tea-2", 41)])))
            .Payload;

        Assert.All(data.Metrics, metric => Assert.True(metric.HasAlias && !metric.HasName));
        Assert.Contains(data.Metrics, metric => metric.Alias == fill.Alias && metric.DoubleValue == 41);
        Judged.Metric[] again =
        [
            .. Read(node.Birth(0, [State("tea-1", 40), State("tea-2", 40)]))
                .SelectMany(one => one.Payload.Metrics),
        ];
        Assert.Equal(
            born.Select(metric => (metric.Name, metric.Alias)),
            again.Select(metric => (metric.Name, metric.Alias))
        );
    }

    private EdgeNode Node(bool aliases) =>
        new(new SparkplugTopics("leafside", "tea-hall"), aliases ? new AliasBook() : null, _counters, _clock);

    private static MachineState State(string machine, double x, Quality quality = Quality.Good) =>
        StatePayloadsTests.StateOf(x) with
        {
            Place = Machines.Tea1 with { Machine = machine },
            Quality = quality,
            Open = [],
        };

    private static MachineState Bad(string machine) => State(machine, 40, Quality.Bad);

    private static OutboxEntry Event(long? readingTicks) =>
        EventMetricsTests.Entry(Machines.LimitApproach, readingTicks);

    private static (string Topic, Judged.Payload Payload)[] Read(List<NodeMessage> messages) =>
        [.. messages.Select(message => (message.Topic, Judged.Payload.Parser.ParseFrom(message.Payload)))];

    private static string Topics(List<NodeMessage> messages) =>
        string.Join(' ', messages.Select(message => message.Topic));

    private static Judged.Metric Metric(Judged.Payload payload, string name) =>
        Assert.Single(payload.Metrics, metric => metric.Name == name);
}
