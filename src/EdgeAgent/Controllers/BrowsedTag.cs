namespace Dancerwatch.EdgeAgent.Controllers;

/// <summary>One tag a controller says it has: a value, an array of values, or what cannot be read as a signal.</summary>
/// <param name="Name">Symbolic name as a configuration writes it, members and indices of structures included.</param>
/// <param name="Type">Type of its value, or of an array's elements; null where no signal can be read from it.</param>
/// <param name="TypeName">The type in words.</param>
/// <param name="Length">Elements of an array; 0 where it is none, -1 where it has more than one dimension or the controller does not say.</param>
public sealed record BrowsedTag(string Name, TagType? Type, string TypeName, int Length);

/// <summary>What a controller says it has.</summary>
/// <param name="Tags">In the controller's order, structures taken apart.</param>
/// <param name="Remarks">What was left out and why: one sentence each.</param>
public sealed record BrowsedController(IReadOnlyList<BrowsedTag> Tags, IReadOnlyList<string> Remarks);
