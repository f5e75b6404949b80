namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>What is kept on disk of the readings themselves.</summary>
internal static class RecordingShape
{
    private const int MostMegabytes = 10_000_000;
    private const int MostDays = 10_000;

    private static readonly RecordingSettings s_usual = new();

    public static RecordingSettings Read(Section s) =>
        new()
        {
            Enabled = s.Switch("enabled", "False: nothing is recorded.", s_usual.Enabled),
            Directory = s.OptionalText(
                "directory",
                "Directory of recordings. Left out: recordings in stateDirectory, and nothing is recorded where there is none. Relative to this file.",
                TextRule.Any
            ),
            MaximumMegabytes = s.Whole(
                "maximumMegabytes",
                "Space that the ring of all readings may take, MB; beyond it the oldest are deleted.",
                10,
                MostMegabytes,
                s_usual.MaximumMegabytes
            ),
            MaximumDays = s.Whole(
                "maximumDays",
                "Days that the ring keeps, counted as days on which something was recorded.",
                1,
                MostDays,
                s_usual.MaximumDays
            ),
            BlackBoxMaximumMegabytes = s.Whole(
                "blackBoxMaximumMegabytes",
                "Space that the black box may take, MB; beyond it the oldest are deleted.",
                1,
                MostMegabytes,
                s_usual.BlackBoxMaximumMegabytes
            ),
            BlackBoxMaximumDays = s.Whole(
                "blackBoxMaximumDays",
                "Days that the black box keeps, counted as days on which something was kept.",
                1,
                MostDays,
                s_usual.BlackBoxMaximumDays
            ),
            LeaveFreeMegabytes = s.Whole(
                "leaveFreeMegabytes",
                "Space of the disk that recordings leave free, MB: where less is free, they grow no further.",
                0,
                MostMegabytes,
                s_usual.LeaveFreeMegabytes
            ),
        };
}
