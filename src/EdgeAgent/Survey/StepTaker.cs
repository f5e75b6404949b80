using System.Globalization;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.EdgeAgent.Survey;

/// <summary>What became of a step.</summary>
/// <param name="Measures">With the step's; null where nothing was measured.</param>
/// <param name="Doubt">What a person must say or do; null where all is well.</param>
internal readonly record struct StepOutcome(SurveyMeasures? Measures, string? Doubt);

/// <summary>Takes one step: feeds live readings to its watch until that has enough, and says what is wrong where it has not.</summary>
internal sealed class StepTaker(LiveReadings readings, ISurveyPerson person)
{
    private static readonly TimeSpan s_holdLimit = TimeSpan.FromSeconds(60);
    private static readonly TimeSpan s_limit = TimeSpan.FromSeconds(150);
    private static readonly long s_showEvery = TimeSpan.TicksPerSecond / 2;

    /// <summary>Still for less is moving all the time, s.</summary>
    private const double ShortestStill = 2;

    private long _shownTicks;

    public ValueTask<StepOutcome> TakeAsync(
        SurveyStep step,
        SurveyMeasures before,
        KnownMachine known,
        CancellationToken cancellation
    ) =>
        step switch
        {
            SurveyStep.HoldFull => HoldAsync(HoldPlace.Full, before, known, cancellation),
            SurveyStep.HoldHalfFromAbove => HoldAsync(HoldPlace.HalfFromAbove, before, known, cancellation),
            SurveyStep.HoldEmpty => HoldAsync(HoldPlace.Empty, before, known, cancellation),
            SurveyStep.HoldHalfFromBelow => HoldAsync(HoldPlace.HalfFromBelow, before, known, cancellation),
            SurveyStep.Travel => TravelAsync(before, known, cancellation),
            SurveyStep.Run => RunAsync(before, cancellation),
            SurveyStep.Stop => StopAsync(before, cancellation),
            _ => StartAsync(step, before, cancellation),
        };

    private async ValueTask<StepOutcome> HoldAsync(
        HoldPlace place,
        SurveyMeasures before,
        KnownMachine known,
        CancellationToken cancellation
    )
    {
        HoldWatch watch = new(known.LikelySpan, known.GapStep);
        string? trouble = await FeedAsync(
            reading =>
            {
                watch.Next(reading);
                return watch.State == HoldState.Good;
            },
            () =>
                Say(
                    "gap {0:0}, still for {1:0} of {2:0} s",
                    watch.Gap,
                    watch.StillSeconds,
                    HoldWatch.EnoughSeconds
                ),
            s_holdLimit,
            cancellation
        );
        if (trouble is not null)
            return new(null, trouble);
        if (watch.Hold is not { } hold)
        {
            return new(
                null,
                watch.LongestSeconds < ShortestStill
                    ? "The dancer moved all the time. Rest it against its mark."
                    : Say(
                        "The dancer was still for {0:0.0} s at most; {1:0} s are needed. Rest it against its mark.",
                        watch.LongestSeconds,
                        HoldWatch.EnoughSeconds
                    )
            );
        }
        HoldDoubt doubt = HoldCheck.Of(place, hold, known, before);
        SurveyMeasures after = place switch
        {
            HoldPlace.Full => before with { Full = hold },
            HoldPlace.HalfFromAbove => before with { HalfFromAbove = hold },
            HoldPlace.Empty => before with { Empty = hold },
            _ => before with { HalfFromBelow = hold },
        };
        return doubt switch
        {
            HoldDoubt.None => new(after, null),
            // Kept, these would be measures of nothing.
            HoldDoubt.OutOfRange or HoldDoubt.NotMoved => new(
                null,
                StepText.Doubt(doubt, place, hold.Gap.Value, known)
            ),
            _ => new(after, StepText.Doubt(doubt, place, hold.Gap.Value, known)),
        };
    }

    private async ValueTask<StepOutcome> TravelAsync(
        SurveyMeasures before,
        KnownMachine known,
        CancellationToken cancellation
    )
    {
        if (before is not { Full: { } full, Empty: { } empty })
            return new(
                null,
                "The travel needs the dancer held at full and at empty first; leave this step out."
            );
        TravelWatch watch = new(empty.Gap.Value, full.Gap.Value, known.GapStep);
        string? trouble = await FeedAsync(
            reading =>
            {
                watch.Next(reading);
                return watch.State == TravelState.Done;
            },
            () =>
                Say(
                    "fill {0:0} %, has been from {1:0} to {2:0} %",
                    watch.Percent,
                    watch.LowestPercent,
                    watch.HighestPercent
                ),
            s_limit,
            cancellation
        );
        if (trouble is not null)
            return new(null, trouble);
        return watch.State switch
        {
            TravelState.Done => new(before with { Travel = watch.Measure() }, null),
            TravelState.NotMoved => new(
                null,
                "The dancer did not move, or the sensor does not see it move: look whether its cam is tight."
            ),
            _ => new(
                null,
                Say(
                    "The dancer went from {0:0} to {1:0} %, and must go from its empty stop to its full stop, back, and come to rest.",
                    watch.LowestPercent,
                    watch.HighestPercent
                )
            ),
        };
    }

    private async ValueTask<StepOutcome> StartAsync(
        SurveyStep step,
        SurveyMeasures before,
        CancellationToken cancellation
    )
    {
        StartWatch watch = new();
        string? trouble = await FeedAsync(
            reading =>
            {
                watch.Next(reading);
                return watch.IsDone;
            },
            () => watch.HasStarted ? "it starts" : "waiting for the machine to start",
            s_limit,
            cancellation
        );
        if (watch.Measure() is not { } start)
            return new(null, trouble ?? "The machine did not start.");
        SurveyMeasures after =
            step == SurveyStep.StartFromEmpty
                ? before with
                {
                    FromEmpty = start,
                }
                : before with
                {
                    FromFull = start,
                };
        return new(after, start.Tripped ? "The machine tripped." : null);
    }

    private async ValueTask<StepOutcome> RunAsync(SurveyMeasures before, CancellationToken cancellation)
    {
        RunWatch watch = new();
        string? trouble = await FeedAsync(
            reading =>
            {
                watch.Next(reading);
                return watch.IsDone;
            },
            () => Say("running for {0:0} of {1:0} s", watch.RunningSeconds, RunWatch.EnoughSeconds),
            s_limit,
            cancellation
        );
        return watch.Measure() is { } run
            ? new(before with { Run = run }, null)
            : new(
                null,
                trouble ?? (watch.WasStopped ? "The machine stopped meanwhile." : "The machine does not run.")
            );
    }

    private async ValueTask<StepOutcome> StopAsync(SurveyMeasures before, CancellationToken cancellation)
    {
        StopWatch watch = new();
        string? trouble = await FeedAsync(
            reading =>
            {
                watch.Next(reading);
                return watch.IsDone;
            },
            () => watch.HasRun ? "running; waiting for the stop" : "waiting for the machine to run",
            s_limit,
            cancellation
        );
        return watch.Measure() is { } stop
            ? new(before with { Stop = stop }, null)
            : new(
                null,
                trouble
                    ?? (
                        watch.HasRun
                            ? "No stop was seen after ten seconds of running or more."
                            : "The machine does not run."
                    )
            );
    }

    private ValueTask<string?> FeedAsync(
        Func<Reading, bool> take,
        Func<string> progress,
        TimeSpan limit,
        CancellationToken cancellation
    ) =>
        readings.FeedAsync(
            reading =>
            {
                bool isEnough = take(reading);
                if (reading.Ticks - _shownTicks > s_showEvery)
                {
                    person.Show(progress());
                    _shownTicks = reading.Ticks;
                }
                return isEnough;
            },
            limit,
            cancellation
        );

    private static string Say(string text, params object?[] values) =>
        string.Format(CultureInfo.InvariantCulture, text, values);
}
