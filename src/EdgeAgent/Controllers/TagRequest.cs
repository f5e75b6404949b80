namespace Dancerwatch.EdgeAgent.Controllers;

/// <summary>Elementary data types by their IEC 61131-3 names.</summary>
public enum TagType
{
    Bool,
    Sint,
    Int,
    Dint,
    Lint,
    Usint,
    Uint,
    Udint,
    Ulint,
    Real,
    Lreal,
    String,
}

/// <summary>One tag to read: its symbolic name as the controller spells it, and the type the configuration expects.</summary>
/// <param name="Name">
/// Symbolic name: optional <c>Program:Name.</c> scope, members separated by dots, indices in brackets, e.g.
/// <c>Program:Packing.Tea1.Gap</c>, <c>Flags[3]</c>. A trailing number (<c>Status.5</c>) is a bit of an integer and goes with <see cref="TagType.Bool"/>.
/// </param>
/// <param name="Type">Type it must have; another type is an error that names both.</param>
public sealed record TagRequest(string Name, TagType Type);
