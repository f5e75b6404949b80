using System.Text.Json;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.EdgeAgent.StatusPage;

/// <summary>The spectrum of a machine's fill, computed only while somebody looks, and every few seconds.</summary>
internal sealed class MachineSpectrum(TimeProvider time)
{
    private static readonly TimeSpan s_every = TimeSpan.FromSeconds(4);

    private readonly FillSpectrum _spectrum = new();
    private readonly long[] _ticks = new long[FillTrace.Most];
    private readonly float[] _percent = new float[FillTrace.Most];
    private readonly double[] _seconds = new double[FillTrace.Most];
    private readonly double[] _fill = new double[FillTrace.Most];
    private readonly double[] _lines = new double[FillSpectrum.Lines];
    private bool _isKnown;
    private long _at;

    /// <summary>Writes step (Hz) and lines (amplitude, % of fill); lines are null where too little was read.</summary>
    public void Write(Utf8JsonWriter json, FillTrace? trace)
    {
        if (trace is not null && (_at == 0 || time.GetElapsedTime(_at) >= s_every))
        {
            _at = time.GetTimestamp();
            _isKnown = Compute(trace);
        }
        json.WriteStartObject("spectrum");
        json.WriteNumber("step_hz", FillSpectrum.StepHz);
        if (_isKnown)
        {
            json.WriteStartArray("lines");
            foreach (double line in _lines)
                json.WriteNumberValue(Math.Round(line, 3));
            json.WriteEndArray();
        }
        else
            json.WriteNull("lines");
        json.WriteEndObject();
    }

    private bool Compute(FillTrace trace)
    {
        long next = 0;
        int read = trace.Read(ref next, _ticks, _percent);
        if (read == 0)
            return false;
        long from = _ticks[read - 1] - (long)(FillSpectrum.SpanSeconds * TimeSpan.TicksPerSecond);
        int count = 0;
        for (int i = 0; i < read; i++)
        {
            if (_ticks[i] <= from || !float.IsFinite(_percent[i]))
                continue;
            _seconds[count] = (double)(_ticks[i] - from) / TimeSpan.TicksPerSecond;
            _fill[count++] = _percent[i];
        }
        return _spectrum.TryCompute(_seconds.AsSpan(0, count), _fill.AsSpan(0, count), _lines);
    }
}
