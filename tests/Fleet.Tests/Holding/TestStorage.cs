using System.Collections.Concurrent;
using System.Globalization;
using Microsoft.Extensions.DependencyInjection;
using Orleans.Serialization;
using Orleans.Storage;

namespace Dancerwatch.Fleet.Tests.Holding;

/// <summary>The fleet's storage in memory, shared by hosts as PostgreSQL is: bytes with a version, refused where that is another.</summary>
internal sealed class TestStorage : IGrainStorage
{
    private static readonly Serializer s_serializer = new ServiceCollection()
        .AddSerializer()
        .BuildServiceProvider()
        .GetRequiredService<Serializer>();

    private readonly ConcurrentDictionary<(string Kind, GrainId Id), (byte[] Bytes, int Version)> _rows = [];

    /// <summary>While set, nothing is read or written: every attempt fails.</summary>
    public bool IsAway { get; set; }

    /// <summary>Called between a write's being sent and its being done.</summary>
    public Action Underway { get; set; } = static () => { };

    public Task ReadStateAsync<T>(string stateName, GrainId grainId, IGrainState<T> grainState)
    {
        ThrowIfAway();
        if (_rows.TryGetValue((stateName, grainId), out (byte[] Bytes, int Version) row))
        {
            grainState.State = s_serializer.Deserialize<T>(row.Bytes)!;
            grainState.ETag = row.Version.ToString(CultureInfo.InvariantCulture);
            grainState.RecordExists = true;
        }
        return Task.CompletedTask;
    }

    public Task WriteStateAsync<T>(string stateName, GrainId grainId, IGrainState<T> grainState)
    {
        ThrowIfAway();
        byte[] bytes = s_serializer.SerializeToArray(grainState.State);
        Underway();
        lock (_rows)
        {
            string? stands = _rows.TryGetValue((stateName, grainId), out (byte[] Bytes, int Version) row)
                ? row.Version.ToString(CultureInfo.InvariantCulture)
                : null;
            if (stands != grainState.ETag)
                throw new InconsistentStateException(
                    $"version {stands} stands there",
                    stands,
                    grainState.ETag
                );
            _rows[(stateName, grainId)] = (bytes, row.Version + 1);
            grainState.ETag = (row.Version + 1).ToString(CultureInfo.InvariantCulture);
        }
        return Task.CompletedTask;
    }

    public Task ClearStateAsync<T>(string stateName, GrainId grainId, IGrainState<T> grainState) =>
        throw new NotSupportedException();

    private void ThrowIfAway()
    {
        if (IsAway)
            throw new TimeoutException("the storage is away");
    }
}
