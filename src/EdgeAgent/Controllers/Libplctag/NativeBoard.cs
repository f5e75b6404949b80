using System.Buffers.Binary;
using Dancerwatch.EdgeAgent.Controllers.EtherNetIp;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Controllers.Libplctag;

/// <summary>The tags of one controller, and what came of each when it was last asked for. Outlives connections.</summary>
internal sealed class NativeBoard
{
    // Type code and, of a STRING, its structure's handle: what the decoder wants before a value.
    private const int LongestHead = 4;

    private readonly TagTroubles _troubles;
    private readonly TagTexts _texts;
    private readonly NativeOutcome[] _outcomes;
    private readonly TagPlan?[] _plans;
    private readonly byte[] _value = new byte[LongestHead + CipType.StringSize];

    public NativeBoard(string controller, IReadOnlyList<TagRequest> tags, ILogger logger)
    {
        _troubles = new TagTroubles(controller, tags, logger);
        _texts = new TagTexts(tags.Count);
        _outcomes = new NativeOutcome[tags.Count];
        NativeTag?[] native = new NativeTag?[tags.Count];
        _plans = new TagPlan?[tags.Count];
        for (int i = 0; i < tags.Count; i++)
        {
            if (NativeTag.TryParse(tags[i], out native[i], out string? problem))
                _plans[i] = new TagPlan(tags[i], native[i]!.Address);
            else
                _troubles.Tell(i, problem);
        }
        Tags = native;
    }

    /// <summary>Null for one whose name no controller can know.</summary>
    public IReadOnlyList<NativeTag?> Tags { get; }

    public string? Trouble(int tag) => _troubles.Of(tag);

    /// <summary>Takes the value that the library holds of a tag.</summary>
    /// <param name="handle">The library's.</param>
    public void Take(int tag, int handle, TagSnapshot into)
    {
        int bytes = PlcTag.Size(handle);
        NativeTag native = Tags[tag]!;
        if (!native.Fits(bytes))
        {
            Set(tag, new NativeOutcome(TagStatus.WrongType, Bytes: bytes), into);
            return;
        }
        ushort code = native.Code(bytes);
        int head = sizeof(ushort);
        BinaryPrimitives.WriteUInt16LittleEndian(_value, code);
        if (code == CipType.Structure)
        {
            BinaryPrimitives.WriteUInt16LittleEndian(_value.AsSpan(head), CipType.StringHandle);
            head += sizeof(ushort);
        }
        int error = PlcTag.RawBytes(handle, 0, _value.AsSpan(head, bytes), bytes);
        if (error != PlcTag.Ok)
        {
            Set(tag, NativeOutcome.Refused(error), into);
            return;
        }
        TagOutcome outcome = TagDecoder.Decode(
            _plans[tag]!,
            _value.AsSpan(0, head + bytes),
            out double number,
            out ReadOnlySpan<byte> text
        );
        into.Numbers[tag] = number;
        into.Texts[tag] =
            outcome.Status == TagStatus.Good && native.Tag.Type == TagType.String
                ? _texts.Of(tag, text)
                : null;
        Set(tag, new NativeOutcome(outcome.Status), into);
    }

    /// <summary>Records what came of a tag.</summary>
    public void Set(int tag, NativeOutcome outcome, TagSnapshot into)
    {
        into.Statuses[tag] = outcome.Status;
        if (outcome.Status != TagStatus.Good)
        {
            into.Numbers[tag] = double.NaN;
            into.Texts[tag] = null;
        }
        if (outcome == _outcomes[tag])
            return;
        _outcomes[tag] = outcome;
        _troubles.Tell(tag, outcome.Describe(Tags[tag]!));
    }

    /// <summary>Marks a tag that is never asked for.</summary>
    public static void SetUnknown(int tag, TagSnapshot into)
    {
        into.Statuses[tag] = TagStatus.NoSuchTag;
        into.Numbers[tag] = double.NaN;
        into.Texts[tag] = null;
    }
}
