namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>What came on our command topic.</summary>
internal enum NodeCommand
{
    /// <summary>No payload of Sparkplug B.</summary>
    NotUnderstood,

    /// <summary>A command we do not have.</summary>
    Unknown,

    /// <summary>All births are asked for again.</summary>
    Rebirth,
}

/// <summary>
/// Reads commands to the node as <c>payload.proto</c> says. There is one that we have; of any other nothing is looked at but
/// that it is well formed. Costs one pass over the bytes and allocates nothing.
/// </summary>
internal static class CommandReader
{
    /// <summary>Name of the one command, <see cref="NodeCommand.Rebirth"/>.</summary>
    public static ReadOnlySpan<byte> Rebirth => "Node Control/Rebirth"u8;

    public static NodeCommand Read(ReadOnlySpan<byte> payload)
    {
        NodeCommand command = NodeCommand.NotUnderstood;
        FieldReader fields = new(payload);
        while (fields.TryNext())
        {
            if (fields is not { Field: 2, IsCounted: true })
                continue;
            NodeCommand one = ReadMetric(fields.Bytes);
            if (one == NodeCommand.NotUnderstood)
                return one;
            if (command != NodeCommand.Rebirth)
                command = one;
        }
        return fields.IsWhole ? command : NodeCommand.NotUnderstood;
    }

    private static NodeCommand ReadMetric(ReadOnlySpan<byte> metric)
    {
        bool isRebirth = false;
        bool isTrue = false;
        FieldReader fields = new(metric);
        while (fields.TryNext())
        {
            if (fields is { Field: 1, IsCounted: true })
                isRebirth = fields.Bytes.SequenceEqual(Rebirth);
            else if (fields is { Field: 14, IsCounted: false })
                isTrue = fields.Whole != 0;
        }
        return !fields.IsWhole ? NodeCommand.NotUnderstood
            : isRebirth && isTrue ? NodeCommand.Rebirth
            : NodeCommand.Unknown;
    }
}
