using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Watching;

/// <summary>
/// Turns the tags of a controller into the reading of one machine: <c>signal = tag * scale + offset</c>. A value that is
/// not a finite number counts as not read, whatever its status says. Allocates nothing per snapshot.
/// </summary>
public sealed class SignalMapper
{
    private readonly Source[] _sources;

    // A STRING keeps its instance while it does not change, so it is turned into a number once per change.
    private string? _lastText;
    private double _lastTextNumber = double.NaN;

    /// <param name="machine">The machine.</param>
    /// <param name="tags">The tags in the order of the snapshots; must hold every tag of the machine.</param>
    /// <exception cref="ArgumentException">A tag of the machine is not among <paramref name="tags"/>.</exception>
    public SignalMapper(WatchedMachineSettings machine, IReadOnlyList<TagRequest> tags)
    {
        ArgumentNullException.ThrowIfNull(machine);
        List<TagRequest> places = [.. tags];
        _sources = [.. machine.Signals.Select(source => new Source(source, places.IndexOf(source.Tag)))];
        if (Array.Find(_sources, source => source.Place < 0).Of is { } missing)
            throw new ArgumentException(
                $"{machine.Name} needs tag {missing.Tag.Name}, which is not among those read.",
                nameof(tags)
            );
    }

    /// <summary>The machine's reading as of a snapshot; a required signal that was not read makes it a failed one.</summary>
    public Reading Map(TagSnapshot snapshot)
    {
        ArgumentNullException.ThrowIfNull(snapshot);
        SignalValues values = SignalValues.Unknown;
        Quality quality = Quality.Good;
        foreach (ref readonly Source source in _sources.AsSpan())
        {
            double value = Value(source, snapshot);
            if (!double.IsFinite(value))
            {
                if (source.Of.Signal is Signal.Gap or Signal.UnwindSpeed)
                    return Reading.Failed(snapshot.Ticks);
                quality = Quality.Partial;
                value = double.NaN;
            }
            values[source.Of.Signal] = value;
        }
        return new Reading(snapshot.Ticks, values, quality);
    }

    private double Value(in Source source, TagSnapshot snapshot)
    {
        if (snapshot.Statuses[source.Place] != TagStatus.Good)
            return double.NaN;
        return source.Of.Tag.Type == TagType.String
            ? NumberOf(snapshot.Texts[source.Place])
            : snapshot.Numbers[source.Place] * source.Of.Scale + source.Of.Offset;
    }

    /// <summary>
    /// A number that stands for a text (a product's name), the same in every run: FNV-1a, 32 bits, over its UTF-16 code
    /// units. (offset basis and prime: RFC 9923, "The FNV Non-Cryptographic Hash Algorithm", from memory)
    /// </summary>
    private double NumberOf(string? text)
    {
        if (ReferenceEquals(text, _lastText))
            return _lastTextNumber;
        uint hash = 2166136261;
        foreach (char unit in text ?? "")
        {
            hash = (hash ^ (byte)unit) * 16777619;
            hash = (hash ^ (byte)(unit >> 8)) * 16777619;
        }
        _lastText = text;
        _lastTextNumber = text is null ? double.NaN : hash;
        return _lastTextNumber;
    }

    private readonly record struct Source(SignalSource Of, int Place);
}
