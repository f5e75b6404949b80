using System.Buffers;

namespace Dancerwatch.VirtualMachine.Tags;

/// <summary>
/// A tag's full name taken apart: <c>Program:Main.Tea1.DancerGap</c> is program <c>Main</c>, tag <c>Tea1</c>, member
/// <c>DancerGap</c>; program and member may be missing.
/// </summary>
internal readonly record struct TagName(string? Program, string Tag, string? Member)
{
    public const string ProgramPrefix = "Program:";
    private const int LongestIdentifier = 40;
    private static readonly SearchValues<char> s_allowed = SearchValues.Create(
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_"
    );

    /// <exception cref="ArgumentException">The name breaks a rule; the message names it, the rule and an example.</exception>
    public static TagName Parse(string name)
    {
        ArgumentNullException.ThrowIfNull(name);
        string[] parts = name.Split('.');
        string? program = null;
        if (parts[0].StartsWith(ProgramPrefix, StringComparison.OrdinalIgnoreCase))
        {
            program = parts[0][ProgramPrefix.Length..];
            parts = parts[1..];
        }
        if (parts.Length is < 1 or > 2)
            throw Bad(name, "has more or fewer parts than a tag and one member");
        foreach (string part in program is null ? parts : [program, .. parts])
        {
            if (part.Length is 0 or > LongestIdentifier)
                throw Bad(
                    name,
                    $"has a part of {part.Length} characters; allowed are 1 to {LongestIdentifier}"
                );
            if (char.IsAsciiDigit(part[0]) || part.AsSpan().ContainsAnyExcept(s_allowed))
                throw Bad(
                    name,
                    $"has the part '{part}'; letters, digits and '_' are allowed, no digit first"
                );
        }
        return new(program, parts[0], parts.Length == 2 ? parts[1] : null);
    }

    private static ArgumentException Bad(string name, string what) =>
        new($"Tag name '{name}' {what}. Try 'Tea1.DancerGap' or 'Program:Main.Counter'.", nameof(name));
}
