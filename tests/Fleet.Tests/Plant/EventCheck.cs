using System.Globalization;
using Dancerwatch.Fleet.Records;
using Microsoft.Extensions.DependencyInjection;
using Npgsql;
using Orleans.Serialization;

namespace Dancerwatch.Fleet.Tests.Plant;

/// <summary>Whether a consumer that counts by id has counted right.</summary>
internal static class EventCheck
{
    /// <summary>Every event that was written down arrives, repeats are the same word for word, and an occurrence is one.</summary>
    /// <returns>What was found, in one sentence.</returns>
    public static async Task<string> AllArrivedOnceAsync(PlantBroker broker, PrivatePostgres postgres)
    {
        long raised = await RaisedAsync(postgres);
        await Eventually.IsTrueAsync(
            () => broker.Heard().DistinctBy(one => one.Id).LongCount() >= raised,
            seconds: 20
        );
        IReadOnlyList<HeardEvent> heard = broker.Heard();
        ILookup<string, HeardEvent> byId = heard.ToLookup(one => one.Id);
        Assert.Equal(raised, byId.Count);
        Assert.All(byId, same => Assert.Single(same.Select(one => one.Text).Distinct()));
        HeardEvent[] once = [.. byId.Select(same => same.First())];
        Assert.All(once.GroupBy(one => one.Occurrence), HasEveryStep);
        Assert.All(once.GroupBy(one => one.Subject), subject => AreOneAfterAnother([.. subject]));
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{raised} events were written down; {byId.Count} arrived, {heard.Count - byId.Count} of them again"
        );
    }

    /// <summary>Events that were ever written down: each controller counts its own.</summary>
    private static async Task<long> RaisedAsync(PrivatePostgres postgres)
    {
        await using ServiceProvider services = new ServiceCollection().AddSerializer().BuildServiceProvider();
        Serializer serializer = services.GetRequiredService<Serializer>();
        await using NpgsqlCommand command = postgres.Here.CreateCommand(
            "select payload from fleet_memory where kind = 'fleet-watch'"
        );
        await using NpgsqlDataReader reader = await command.ExecuteReaderAsync();
        long raised = 0;
        while (await reader.ReadAsync())
            raised += serializer.Deserialize<WatchRecord>((byte[])reader[0])!.LastNumber;
        return raised;
    }

    /// <summary>From raised on, once each.</summary>
    private static void HasEveryStep(IGrouping<string, HeardEvent> occurrence)
    {
        HeardEvent[] steps = [.. occurrence.OrderBy(one => one.Step)];
        Assert.Equal(Enumerable.Range(0, steps.Length), steps.Select(one => one.Step));
        Assert.Equal("raised", steps[0].State);
        Assert.All(steps.Skip(1).SkipLast(1), one => Assert.Equal("changed", one.State));
    }

    /// <summary>A condition is not raised while it is.</summary>
    private static void AreOneAfterAnother(IReadOnlyList<HeardEvent> subject)
    {
        HeardEvent[] last =
        [
            .. subject
                .GroupBy(one => one.Onset)
                .OrderBy(occurrence => occurrence.Key)
                .Select(occurrence => occurrence.MaxBy(one => one.Step)!),
        ];
        Assert.All(last[..^1], one => Assert.Equal("cleared", one.State));
    }
}
