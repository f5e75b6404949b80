using System.Text.Json;
using Dancerwatch.EdgeAgent.Watching;

namespace Dancerwatch.EdgeAgent.StatusPage;

/// <summary>What one viewer has been sent of a machine's fill: each time only what is new.</summary>
internal sealed class TraceReader
{
    private readonly long[] _ticks = new long[FillTrace.Most];
    private readonly float[] _percent = new float[FillTrace.Most];
    private FillTrace? _of;
    private long _next;

    /// <summary>Writes times (ms since 1970-01-01 UTC) and fill (%, null for none), and whether it begins anew.</summary>
    public void Write(Utf8JsonWriter json, FillTrace trace, MonotonicClock clock)
    {
        bool anew = !ReferenceEquals(_of, trace);
        if (anew)
            (_of, _next) = (trace, 0);
        int count = trace.Read(ref _next, _ticks, _percent);
        // One wall clock for all: what was shown must not move against what comes.
        long offset = clock.ToWallClock(0).ToUnixTimeMilliseconds();
        json.WriteStartObject("trace");
        json.WriteBoolean("anew", anew);
        json.WriteStartArray("time");
        for (int i = 0; i < count; i++)
            json.WriteNumberValue(offset + (_ticks[i] / TimeSpan.TicksPerMillisecond));
        json.WriteEndArray();
        json.WriteStartArray("fill");
        for (int i = 0; i < count; i++)
        {
            if (float.IsFinite(_percent[i]))
                json.WriteNumberValue(MathF.Round(_percent[i], 2));
            else
                json.WriteNullValue();
        }
        json.WriteEndArray();
        json.WriteEndObject();
    }
}
