using System.Globalization;
using Dancerwatch.Bench.FleetHistory.Making;
using Dancerwatch.EdgeAgent.Commands;

namespace Dancerwatch.Bench.FleetHistory.Checking;

/// <summary>Asks all questions of a made fleet, in the order people would, and compares with the truth.</summary>
internal static class FleetCheck
{
    /// <param name="questions">Where the SQL files are.</param>
    /// <param name="fewestHours">Of a group of margins to be compared.</param>
    /// <param name="say">Takes a line for people: answers and times.</param>
    public static async Task<IReadOnlyList<Finding>> RunAsync(
        FleetFolders folders,
        string questions,
        double pollSeconds,
        double fewestHours,
        Action<string> say
    )
    {
        foreach (string configuration in Directory.EnumerateFiles(Path.Combine(folders.Root, "config")))
            await WriteSettingsAsync(folders, configuration);
        using FleetQuestions fleet = new(questions, folders.Fleet);
        Ask("keep-events.sql");
        Ask("views.sql");
        IReadOnlyList<AnswerRow> there = Ask("what-is-there.sql");
        return
        [
            .. RollCheck.Check(Ask(RollCheck.Question), TruthTable.Read(folders.Truth("rolls"))),
            .. MarginCheck.Check(
                Ask(MarginCheck.Question),
                TruthTable.Read(folders.Truth("margins")),
                pollSeconds,
                fewestHours
            ),
            .. LeadCheck.Check(Ask(LeadCheck.Question), folders),
            .. SettingCheck.Check(Ask(SettingCheck.Question), TruthTable.Read(folders.Truth("settings"))),
            .. SecondReader.Check(there, await SecondReader.CountAsync(folders.Fleet)),
        ];

        IReadOnlyList<AnswerRow> Ask(string file)
        {
            long begun = TimeProvider.System.GetTimestamp();
            IReadOnlyList<AnswerRow> answer = fleet.Ask(file);
            double seconds = TimeProvider.System.GetElapsedTime(begun).TotalSeconds;
            say(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{file, -26} {answer.Count, 4} rows {seconds, 7:F2} s"
                )
            );
            return answer;
        }
    }

    private static async Task WriteSettingsAsync(FleetFolders folders, string configuration)
    {
        string path = folders.Settings(Path.GetFileNameWithoutExtension(configuration));
        Directory.CreateDirectory(Path.GetDirectoryName(path)!);
        await using StreamWriter settings = new(path);
        int code = await CommandLine.RunAsync(
            ["settings", "--config", configuration],
            settings,
            Console.Error
        );
        if (code != ExitCodes.Ok)
            throw new InvalidOperationException($"dancerwatch settings does not take {configuration}");
    }
}
