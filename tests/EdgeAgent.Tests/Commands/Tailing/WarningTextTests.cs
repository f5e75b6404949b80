using Dancerwatch.EdgeAgent.Commands.Tailing;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Tests.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Tests.Commands.Tailing;

public sealed class WarningTextTests
{
    private static string Text(ConditionTransition transition, TimeZoneInfo? zone = null)
    {
        Assert.True(
            ReceivedEvent.TryRead(
                EventPayload.Of(Machines.Event(transition), sequence: 7),
                out ReceivedEvent? heard,
                out _
            )
        );
        return WarningText.Of(heard, zone ?? TimeZoneInfo.Utc);
    }

    [Fact]
    public void Lost_events_are_told_in_one_line_as_far_as_a_terminal_may_be_told_anything() =>
        Assert.Equal(
            "08:30:00  dancer [2Jwatch  108 of its events, number 412 to 519, are lost\n",
            WarningText.Of(
                new ReceivedLoss(
                    "dancer\e[2Jwatch",
                    DateTimeOffset.FromUnixTimeMilliseconds(Machines.Milliseconds),
                    new LostRange(412, 519, 108),
                    Payload: default
                ),
                TimeZoneInfo.Utc
            )
        );

    [Fact]
    public void A_raised_warning_says_what_where_how_long_why_and_what_to_look_at() =>
        Assert.Equal(
            """
            08:30:00  tea-1  limit-approach raised: high priority, full side, fill 88 %, 4.8 s to the trip
                      cause     roll-overrun (80 %), then sensor-drift (15 %)
                      evidence  Fill rose 31 % in 2.1 s after the stop, while the unwind's command was 0 m/min.
                      look at   Look at the spindle brake and its air pressure, with the machine stopped and locked off.

            """,
            Text(Machines.LimitApproach),
            ignoreLineEndingDifferences: true
        );

    [Fact]
    public void A_further_cause_of_no_weight_is_not_printed()
    {
        CauseRanking causes = new(
            new RankedCause(Cause.BrakeDrag, 0.994),
            new RankedCause(Cause.Unknown, 0.005),
            new RankedCause(Cause.DriveSaturation, 0.001)
        );

        string text = Text(Machines.LimitApproach with { Causes = causes });

        Assert.Contains("cause     brake-drag (99 %), then unknown (1 %)\n", text, StringComparison.Ordinal);
        Assert.DoesNotContain("drive-saturation", text, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(0.63, "fill 88 %, trip within 5 min: 63 %\n")]
    [InlineData(0.004, "fill 88 %\n")]
    public void Where_the_time_left_is_unknown_the_probability_is_told_unless_it_is_naught(
        double probability,
        string told
    )
    {
        string text = Text(
            Machines.LimitApproach with
            {
                SecondsToLimit = double.NaN,
                Probability = probability,
            }
        );

        Assert.Contains(told, text, StringComparison.Ordinal);
    }

    [Fact]
    public void A_cleared_warning_is_one_line() =>
        Assert.Equal(
            "08:30:00  tea-1  limit-approach cleared: full side, fill 88 %\n",
            Text(Machines.LimitApproach with { State = ConditionState.Cleared })
        );

    [Fact]
    public void The_time_is_the_readers() =>
        Assert.StartsWith(
            "14:00:00",
            Text(
                Machines.LimitApproach,
                TimeZoneInfo.CreateCustomTimeZone("tea", new TimeSpan(5, 30, 0), "tea", "tea")
            ),
            StringComparison.Ordinal
        );

    [Fact]
    public void Nothing_from_a_broker_steers_the_readers_terminal() =>
        Assert.DoesNotContain(
            '\u001b',
            Text(Machines.LimitApproach with { Evidence = "\u001b[2J\u001b]0;x\u0007 all is well" })
        );
}
