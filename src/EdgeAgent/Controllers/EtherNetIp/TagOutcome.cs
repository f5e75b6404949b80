namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>How the read of one tag ended, with what it takes to say so in words.</summary>
/// <param name="Status">The status for the snapshot.</param>
/// <param name="General">General status of the reply.</param>
/// <param name="Extended">Extended status of the reply.</param>
/// <param name="Type">Type code the controller gave.</param>
/// <param name="Handle">Structure handle the controller gave.</param>
internal readonly record struct TagOutcome(
    TagStatus Status,
    byte General = 0,
    ushort Extended = 0,
    ushort Type = 0,
    ushort Handle = 0
)
{
    public static TagOutcome Good => new(TagStatus.Good);

    /// <summary>The outcome of a reply that carries an error instead of data.</summary>
    public static TagOutcome Refused(byte general, ushort extended) =>
        new(
            general switch
            {
                CipStatus.PathSegmentError or CipStatus.PathDestinationUnknown => TagStatus.NoSuchTag,
                CipStatus.GeneralError when extended == CipStatus.BeyondEndOfObject => TagStatus.NoSuchTag,
                CipStatus.PrivilegeViolation => TagStatus.Forbidden,
                _ => TagStatus.ControllerError,
            },
            general,
            extended
        );

    /// <summary>One sentence that names the tag, what is wrong and what to try; null where nothing is.</summary>
    public string? Describe(TagPlan plan)
    {
        string name = plan.Tag.Name;
        string status = CipStatus.Describe(General, Extended);
        return Status switch
        {
            TagStatus.NoSuchTag =>
                $"tag '{name}' was not found: {status}. Check its spelling, its scope ('Program:Name.{name}'?) and that the controller lets it be read from outside",
            TagStatus.WrongType => DescribeType(plan),
            TagStatus.Forbidden =>
                $"tag '{name}' may not be read: {status}. Allow read-only access from outside in the controller",
            TagStatus.ControllerError => $"tag '{name}' could not be read: {status}",
            TagStatus.Garbled =>
                $"tag '{name}' came back as {CipType.Name(Type, Handle)} with a value that cannot be decoded",
            _ => null,
        };
    }

    private string DescribeType(TagPlan plan)
    {
        string actual = CipType.Name(Type, Handle);
        string configured = plan.Address.InBoolArray
            ? "an element of a BOOL array, which controllers keep in DWORDs"
            : CipType.Name(plan.Tag.Type);
        bool onlyTheBitIsWrong =
            plan.Address is { Bit: not null, InBoolArray: false } && CipType.HasBits(Type);
        return onlyTheBitIsWrong
            ? $"tag '{plan.Tag.Name}' asks for bit {plan.Address.Bit}, but the integer is {actual} in the controller, with bits 0 to {(8 * CipType.Size(Type)) - 1}"
            : $"tag '{plan.Tag.Name}' is {actual} in the controller, the configuration says {configured}";
    }
}
