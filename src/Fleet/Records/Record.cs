using Orleans.Storage;

namespace Dancerwatch.Fleet.Records;

/// <summary>
/// Something that the whole fleet must know, in the storage its hosts share: read with its version, and written only where that
/// version still stands. For one caller at a time.
/// </summary>
internal sealed class Record<T>(IGrainStorage storage, string kind, string key)
    where T : class, new()
{
    private readonly GrainId _id = GrainId.Create(kind, key);
    private GrainState<T> _state = new(new T());

    public T Value => _state.State!;

    /// <summary>Another with each write; null where it was never written.</summary>
    public string? Version => _state.ETag;

    public async Task ReadAsync()
    {
        GrainState<T> read = new(new T());
        await storage.ReadStateAsync(kind, _id, read);
        read.State ??= new T();
        _state = read;
    }

    /// <exception cref="InconsistentStateException">Somebody else wrote since it was read; nothing was written.</exception>
    public Task WriteAsync() => storage.WriteStateAsync(kind, _id, _state);
}
