using System.Collections.Concurrent;
using System.Text.Json;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;

namespace Dancerwatch.EdgeAgent.StatusPage;

/// <summary>
/// Server-sent events (WHATWG HTML, 9.2): each second what all machines do, and of one machine all there is. Made once a second
/// for all viewers; only the new part of a machine's fill is each viewer's own.
/// </summary>
/// <param name="watches">The machines watched now.</param>
internal sealed class PageFeed(Func<IReadOnlyList<MachineWatch>> watches, MonotonicClock clock)
{
    private static readonly TimeSpan s_every = TimeSpan.FromSeconds(1);

    /// <summary>A little less than the time between two, so that none is sent twice.</summary>
    private static readonly TimeSpan s_fresh = TimeSpan.FromSeconds(0.9);

    private readonly ConcurrentDictionary<MachineWatch, Shared<byte[]>> _machines = new();
    private readonly Shared<byte[]> _line = new(s_fresh, clock.Time, () => LineJson.Of(watches()));

    /// <summary>Sends until the viewer has gone, or <paramref name="cancellation"/>.</summary>
    /// <param name="machine">Empty for the line alone.</param>
    /// <param name="patience">A viewer who takes nothing for so long is given up.</param>
    public async Task SendAsync(
        Stream stream,
        string machine,
        TimeSpan patience,
        CancellationToken cancellation
    )
    {
        TraceReader trace = new();
        using PeriodicTimer timer = new(s_every, clock.Time);
        do
        {
            byte[] frame = Frame(machine, trace);
            using CancellationTokenSource limit = CancellationTokenSource.CreateLinkedTokenSource(
                cancellation
            );
            limit.CancelAfter(patience);
            await stream.WriteAsync("data: "u8.ToArray(), limit.Token);
            await stream.WriteAsync(frame, limit.Token);
            await stream.WriteAsync("\n\n"u8.ToArray(), limit.Token);
        } while (await timer.WaitForNextTickAsync(cancellation));
    }

    private byte[] Frame(string machine, TraceReader trace)
    {
        IReadOnlyList<MachineWatch> watched = watches();
        foreach (MachineWatch gone in _machines.Keys.Except(watched))
            _machines.TryRemove(gone, out _);
        MachineWatch? chosen = watched.FirstOrDefault(watch => watch.Place.Machine == machine);
        return FlatJson.Of(json =>
        {
            json.WriteNumber("now", clock.Time.GetUtcNow().ToUnixTimeMilliseconds());
            Raw(json, "line", _line.Get());
            if (chosen is null)
                return;
            Raw(json, "machine", Detail(chosen).Get());
            if (chosen.Trace is { } fill)
                trace.Write(json, fill, clock);
        });
    }

    private Shared<byte[]> Detail(MachineWatch watch) =>
        _machines.GetOrAdd(
            watch,
            one =>
            {
                MachineSpectrum spectrum = new(clock.Time);
                return new Shared<byte[]>(s_fresh, clock.Time, () => MachineJson.Of(one, spectrum));
            }
        );

    private static void Raw(Utf8JsonWriter json, string name, byte[] value)
    {
        json.WritePropertyName(name);
        json.WriteRawValue(value, skipInputValidation: true);
    }
}
