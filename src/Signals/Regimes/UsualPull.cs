namespace Dancerwatch.Signals.Regimes;

/// <summary>How the machine takes film while it runs well: a bag at a time.</summary>
/// <param name="Millimeters">Film of one cycle, mm; NaN or 0 where not known.</param>
/// <param name="Seconds">Length of a cycle, s.</param>
public readonly record struct UsualPull(double Millimeters, double Seconds);
