using System.Reflection;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Snapshots;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Roll;

namespace Dancerwatch.EdgeAgent.Tests.Snapshots;

public sealed class MachineFingerprintTests
{
    private static WatchedMachineSettings Tea1 => SnapshotRun.Tea1;

    public static TheoryData<string> Numbers() =>
        [
            .. typeof(FillSettings)
                .GetProperties()
                .Where(p => p.SetMethod is not null && p.PropertyType == typeof(double))
                .Select(p => $"Fill.{p.Name}"),
            .. typeof(RollSettings)
                .GetProperties()
                .Where(p => p.SetMethod is not null && p.PropertyType == typeof(double))
                .Select(p => $"Roll.{p.Name}"),
        ];

    [Theory, MemberData(nameof(Numbers))]
    public void Every_number_of_the_dancer_and_the_roll_is_in_it(string name)
    {
        // A copy, and one number of it other than it was.
        FillSettings fill = Tea1.Machine.Fill with
        { };
        RollSettings roll = Tea1.Machine.Roll with { };
        object part = name.StartsWith("Fill", StringComparison.Ordinal) ? fill : roll;
        PropertyInfo number = part.GetType().GetProperty(name[5..])!;
        number.SetValue(part, 17.25);
        Assert.NotEqual(Of(Tea1), Of(Tea1 with { Machine = Tea1.Machine with { Fill = fill, Roll = roll } }));
    }

    [Fact]
    public void Cam_poll_and_tags_are_in_it()
    {
        WatchedMachineSettings[] others =
        [
            Tea1 with
            {
                Machine = Tea1.Machine with
                {
                    Fill = Tea1.Machine.Fill with { Cam = [(0, 0), (50, 40), (100, 100)] },
                },
            },
            Tea1 with
            {
                Machine = Tea1.Machine with { PollSeconds = 0.05 },
            },
            Tea1 with
            {
                Signals = [new SignalSource(Signal.Gap, new TagRequest("Tea2.Gap", TagType.Real))],
            },
            Tea1 with
            {
                Signals = [new SignalSource(Signal.Gap, new TagRequest("Tea1.Gap", TagType.Real), Scale: 2)],
            },
        ];
        string[] all = [Of(Tea1), .. others.Select(Of)];
        Assert.Equal(all.Length, all.Distinct().Count());
    }

    private static string Of(WatchedMachineSettings machine) =>
        Convert.ToHexString(MachineFingerprint.Of("/leafside/tea-hall/line-1/tea-1", machine));
}
