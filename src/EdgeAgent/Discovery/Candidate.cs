using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Discovery;

/// <summary>A tag that may be a signal by its name and type.</summary>
/// <param name="Key">Words of the plant's own in its name: those of one machine have the same.</param>
/// <param name="Words">The words by which it was taken for the signal.</param>
/// <param name="Scale">Signal = tag * scale + offset.</param>
/// <param name="Unit">The unit its name tells; null for none.</param>
internal sealed record Candidate(
    Signal Signal,
    TagRequest Tag,
    NameFit Fit,
    string Key,
    string Words,
    double Scale,
    double Offset,
    string? Unit
);
