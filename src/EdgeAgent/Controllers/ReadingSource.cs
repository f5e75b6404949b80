using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Controllers;

/// <summary>Makes one machine's readings from the snapshots of its controller: <c>signal = tag * scale + offset</c>. Allocates nothing per reading.</summary>
public sealed class ReadingSource
{
    private readonly (SignalSource Source, int Place)[] _signals;
    private string? _text;
    private double _textNumber = double.NaN;

    /// <param name="machine">The machine.</param>
    /// <param name="tags">Its controller's tags, in the order of the snapshots (see <see cref="TagsOf"/>).</param>
    /// <exception cref="ArgumentException">A tag of the machine is not among them.</exception>
    public ReadingSource(WatchedMachineSettings machine, IReadOnlyList<TagRequest> tags)
    {
        _signals = [.. machine.Signals.Select(source => (source, PlaceOf(source.Tag, tags)))];
    }

    /// <summary>The tags to read for some machines of one controller, each once however many signals use it.</summary>
    public static IReadOnlyList<TagRequest> TagsOf(IEnumerable<WatchedMachineSettings> machines) =>
        [.. machines.SelectMany(machine => machine.Signals).Select(source => source.Tag).Distinct()];

    /// <summary>
    /// The reading a snapshot holds. A tag that was not read, or is no finite number, is NaN; the reading is bad where that
    /// is a required one, partial where it is another.
    /// </summary>
    public Reading Read(TagSnapshot snapshot)
    {
        SignalValues values = SignalValues.Unknown;
        Quality quality = Quality.Good;
        foreach ((SignalSource source, int place) in _signals)
        {
            double tag =
                source.Tag.Type == TagType.String ? NumberOf(snapshot.Texts[place]) : snapshot.Numbers[place];
            double value = (tag * source.Scale) + source.Offset;
            if (double.IsFinite(value))
                values[source.Signal] = value;
            else if (source.Signal is Signal.Gap or Signal.UnwindSpeed)
                quality = Quality.Bad;
            else if (quality == Quality.Good)
                quality = Quality.Partial;
        }
        return new Reading(snapshot.Ticks, values, quality);
    }

    /// <summary>
    /// A number that stands for a text, the same on every machine and after every restart: 32-bit FNV-1a of its UTF-16
    /// units (draft-eastlake-fnv), which a double holds exactly.
    /// </summary>
    private double NumberOf(string? text)
    {
        if (ReferenceEquals(text, _text))
            return _textNumber;
        uint hash = 2_166_136_261;
        foreach (char unit in text ?? "")
            hash = (hash ^ unit) * 16_777_619;
        (_text, _textNumber) = (text, text is null ? double.NaN : hash);
        return _textNumber;
    }

    private static int PlaceOf(TagRequest tag, IReadOnlyList<TagRequest> tags)
    {
        for (int i = 0; i < tags.Count; i++)
        {
            if (tags[i] == tag)
                return i;
        }
        throw new ArgumentException($"Tag '{tag.Name}' is not among the controller's tags.", nameof(tags));
    }
}
