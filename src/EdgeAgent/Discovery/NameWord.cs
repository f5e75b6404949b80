namespace Dancerwatch.EdgeAgent.Discovery;

/// <summary>A word of a tag's name.</summary>
/// <param name="Text">In small letters; a number without zeros in front.</param>
/// <param name="Start">Where it stands in the name.</param>
/// <param name="End">Where the next may begin.</param>
/// <param name="Sense">What it speaks of; null for a word of the plant's own, by which machines are told apart.</param>
internal readonly record struct NameWord(string Text, int Start, int End, Sense? Sense);
