using System.Text.Json;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.Signals.Bands;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.FilmPath;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;
using Dancerwatch.Signals.Roll;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Watching.Payloads;

public sealed class StatePayloadsTests
{
    /// <summary>A machine all of whose numbers are <paramref name="x"/>.</summary>
    internal static MachineState StateOf(double x, int readings = 3_000) =>
        new()
        {
            Place = Machines.Tea1,
            Milliseconds = Machines.Milliseconds,
            Quality = Quality.Partial,
            Fill = new FillEstimate(x, x, x, x, FillFault.None, SetPointsChanged: false),
            Regime = new RegimeEstimate(Regime.Running, x, false, Side.None, false),
            OneMinute = new BandEstimate(x, x, x, x, x, x, x, readings),
            FifteenMinutes = new BandEstimate(x, x, x, x, x, x, x, readings),
            EightHours = new BandEstimate(x, x, x, x, x, x, x, readings),
            Oscillation = new OscillationEstimate(x, x, x, x, x, Rhythm.RollTurn, 2, x, x, x, x),
            Roll = new RollEstimate(x, x, x, x, x, RollSource.Turns),
            Margin = new MarginEstimate(new SideMargin(x, x, x), new SideMargin(x, x, x)),
            Forecast = new ForecastEstimate(Side.Full, x, x, x, x, Side.Empty),
            FilmPath = double.IsNaN(x) ? FilmPathEstimate.Unknown : FilmPathOf(x),
            Open = [new OpenCondition(Machines.Milliseconds - 5_000, Machines.LimitApproach)],
        };

    private static FilmPathEstimate FilmPathOf(double x) =>
        new()
        {
            RunningMinutes = x,
            NearFullShare = x,
            NearEmptyShare = x,
            DancerSpeedP99 = x,
            ReversalsPerMinute = x,
            MostReversals = x,
            WidestMinutePercent = x,
            SwingPercent = x,
            SwingHz = x,
            LackPercent = x,
            LeastLackPercent = x,
            Stops = 4,
            OverrunStops = x,
            SlackStops = 1,
            LargestOverrunPercent = x,
            LastOverrunPercent = x,
            LastSlackMillimeters = x,
            Edge = new EdgeFinding(x, x, x, x, x, 20),
            Score = x,
            Verdict = FilmPathVerdict.AccumulatorFirst,
        };

    private static Dictionary<string, JsonElement> Encoded(MachineState state) =>
        StatePayloads.Of(state).ToDictionary(s => s.Name, s => JsonDocument.Parse(s.Json).RootElement);

    [Property]
    public void Every_state_is_flat_strict_JSON_whatever_its_numbers_are(double x)
    {
        foreach ((string name, JsonElement state) in Encoded(StateOf(x)))
        {
            Assert.Equal("tea-1", state.GetProperty("machine").GetString());
            Assert.Equal(Machines.Milliseconds, state.GetProperty("ts").GetInt64());
            Assert.Equal("partial", state.GetProperty("quality").GetString());
            Assert.All(
                state.EnumerateObject(),
                field =>
                    Assert.False(field.Value.ValueKind is JsonValueKind.Object or JsonValueKind.Array, name)
            );
        }
    }

    [Fact]
    public void Nothing_known_is_null_in_every_state()
    {
        foreach ((_, JsonElement state) in Encoded(StateOf(double.NaN)))
        {
            foreach (JsonProperty field in state.EnumerateObject())
                Assert.DoesNotContain("NaN", field.Value.ToString(), StringComparison.OrdinalIgnoreCase);
        }
        Assert.Equal(
            JsonValueKind.Null,
            Encoded(StateOf(double.NaN))["roll"].GetProperty("film_left_m").ValueKind
        );
    }

    [Fact]
    public void A_window_without_readings_has_no_percentiles()
    {
        JsonElement bands = Encoded(StateOf(0, readings: 0))["bands"];

        Assert.Equal(JsonValueKind.Null, bands.GetProperty("p50_8h").ValueKind);
        Assert.Equal(0, bands.GetProperty("readings_8h").GetInt32());
    }

    [Fact]
    public void The_conditions_tell_each_by_name_and_the_highest_priority()
    {
        JsonElement conditions = Encoded(StateOf(1))["conditions"];

        Assert.Equal(1, conditions.GetProperty("raised").GetInt32());
        Assert.Equal("high", conditions.GetProperty("priority").GetString());
        Assert.Equal("high", conditions.GetProperty("limit_approach").GetString());
        Assert.Equal("full", conditions.GetProperty("limit_approach_side").GetString());
        Assert.Equal("roll-overrun", conditions.GetProperty("limit_approach_cause").GetString());
        Assert.Equal(
            Machines.Milliseconds - 5_000,
            conditions.GetProperty("limit_approach_since").GetInt64()
        );
        Assert.Equal(JsonValueKind.Null, conditions.GetProperty("data_lost").ValueKind);
    }

    [Fact]
    public void The_film_path_tells_its_verdict_its_score_and_the_sentence_behind_it()
    {
        JsonElement film = Encoded(StateOf(1))["film-path"];

        Assert.Equal("accumulator-first", film.GetProperty("verdict").GetString());
        Assert.Equal(1, film.GetProperty("score").GetDouble());
        Assert.Equal(4, film.GetProperty("stops").GetInt32());
        Assert.StartsWith("Accumulator first: ", film.GetProperty("evidence").GetString());
    }

    [Fact]
    public void No_condition_raised_is_zero_and_null()
    {
        JsonElement conditions = Encoded(StateOf(1) with { Open = [] })["conditions"];

        Assert.Equal(0, conditions.GetProperty("raised").GetInt32());
        Assert.Equal(JsonValueKind.Null, conditions.GetProperty("priority").ValueKind);
    }
}
