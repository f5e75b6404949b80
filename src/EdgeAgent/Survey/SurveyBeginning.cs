using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.EdgeAgent.Survey;

/// <summary>What a survey is begun with.</summary>
internal sealed record SurveyOrder(
    string Site,
    string Area,
    WatchedMachineSettings Machine,
    SurveyKind Kind,
    string By,
    BrakeKind Brake
);

/// <summary>Begins a record with what the controller says now.</summary>
internal static class SurveyBeginning
{
    private static readonly TimeSpan s_look = TimeSpan.FromSeconds(5);

    /// <summary>Looks until there is a reading with gap and speed.</summary>
    /// <exception cref="DeadTagException">There was none; the message says why.</exception>
    public static async ValueTask<SurveyRecord> LookAsync(
        LiveReadings readings,
        SurveyOrder order,
        TimeProvider time,
        CancellationToken cancellation
    )
    {
        FillSettings settings = order.Machine.Machine.Fill;
        FillScale scale = new(settings);
        FillEstimate? fill = null;
        string? trouble = await readings.FeedAsync(
            reading =>
            {
                if (reading.Quality != Quality.Bad)
                    fill = scale.Next(reading);
                return fill is not null;
            },
            s_look,
            cancellation
        );
        if (fill is not { } seen)
            throw new DeadTagException(trouble ?? "No reading came.");
        return new SurveyRecord
        {
            Format = SurveyRecord.CurrentFormat,
            Site = order.Site,
            Area = order.Area,
            Line = order.Machine.Line,
            Machine = order.Machine.Name,
            Kind = order.Kind,
            By = order.By,
            Begun = time.GetUtcNow(),
            Known = new KnownMachine
            {
                GapAtFull = seen.GapAtFull,
                GapAtEmpty = seen.GapAtEmpty,
                TargetPercent = seen.TargetPercent,
                OvertravelPercent = settings.OvertravelPercent,
                GapMinimum = settings.GapMinimum,
                GapMaximum = settings.GapMaximum,
                GapStep = settings.GapResolution,
                StorageMillimeters = settings.StorageMillimeters,
                Brake = order.Brake,
            },
        };
    }
}

/// <summary>Gap or unwind speed cannot be read; the message says why, in a sentence.</summary>
internal sealed class DeadTagException(string message) : Exception(message);
