namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>The file settings come from, and how it is loaded: anew at each call.</summary>
public sealed record SettingsSource(string Path, Func<SettingsResult> Load);
