using System.Globalization;
using Dancerwatch.EdgeAgent.Commands.Checks;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Tests.Controllers.Recorded;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Roll;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Commands.Checks;

/// <summary>What an engineer would look at: common practice, no source.</summary>
public sealed class LiveCheckTests
{
    private static readonly ControllerSettings s_controller = new()
    {
        Name = "packing-a",
        Host = "192.0.2.10",
    };

    // Fill 50 %, film at 12 m/min into a machine that runs.
    private static readonly Dictionary<Signal, double> s_healthy = new()
    {
        [Signal.Gap] = 2050,
        [Signal.UnwindSpeed] = 12,
        [Signal.LineSpeed] = 12,
        [Signal.Running] = 1,
        [Signal.TargetFill] = 50,
        [Signal.GapAtFull] = 3500,
        [Signal.GapAtEmpty] = 600,
        [Signal.FullSideTrip] = 0,
        [Signal.EmptySideTrip] = 0,
        [Signal.BrakeOn] = 0,
        [Signal.RollDiameter] = 300,
    };

    private readonly FakeTimeProvider _time = new() { AutoAdvanceAmount = TimeSpan.FromMilliseconds(1) };

    [Fact]
    public async Task A_healthy_machine_has_no_findings_and_tells_its_fill()
    {
        MachineCheck check = await CheckAsync([]);

        Assert.Empty(check.Findings);
        Assert.Equal(50, check.Fill.Percent, 1e-9);
        Assert.Equal(s_healthy.Count, check.Tags.Count);
        Assert.Equal("3500", check.Tags.Single(tag => tag.Source.Signal == Signal.GapAtFull).Held);
    }

    public static TheoryData<Signal[], double[], string> Oddities =>
        new()
        {
            {
                [Signal.GapAtFull, Signal.GapAtEmpty],
                [600, 3500],
                "The set points look swapped: the tags say empty 3500 and full 600, the configuration empty 600 and full 3500."
            },
            {
                [Signal.GapAtFull],
                [600],
                "No fill can be computed from the set points empty 600 and full 600: they are equal or too close."
            },
            { [Signal.Gap], [9999], "The gap is 9999, outside the sensor's range of 0 to 4095." },
            {
                [Signal.Gap],
                [3900],
                "Fill is 113.8 %, past the trip at 105 %, yet the machine runs without a trip."
            },
            {
                [Signal.Gap],
                [300],
                "Fill is -10.3 %, past the trip at -5 %, yet the machine runs without a trip."
            },
            { [Signal.Gap, Signal.FullSideTrip], [700, 1], "The full-side trip is on at a fill of 3.4 %:" },
            {
                [Signal.Gap, Signal.EmptySideTrip],
                [3400, 1],
                "The empty-side trip is on at a fill of 96.6 %:"
            },
            { [Signal.FullSideTrip, Signal.EmptySideTrip], [1, 1], "Both trips are on" },
            { [Signal.BrakeOn], [2], "brakeOn is 2; a switch is 0 or 1." },
            { [Signal.LineSpeed], [-12], "lineSpeed is -12, below 0." },
            { [Signal.LineSpeed], [200], "lineSpeed is 200 m/min, above the unwind's fastest, 40 m/min." },
            { [Signal.TargetFill], [0.5e3], "targetFill is 500 %, outside 0 to 100." },
            { [Signal.RollDiameter], [0.3], "rollDiameter is 0.3 mm, below the core's 76 mm." },
            { [Signal.RollDiameter], [700], "rollDiameter is 700 mm, above a fresh roll's 350 mm." },
            {
                [Signal.TargetFill],
                [double.NaN],
                "targetFill: tag 'targetFill' holds NaN, which is no number to work with."
            },
        };

    [Theory]
    [MemberData(nameof(Oddities))]
    public async Task What_is_odd_is_told_with_the_numbers_that_show_it(
        Signal[] signals,
        double[] values,
        string finding
    )
    {
        MachineCheck check = await CheckAsync(signals.Zip(values).ToDictionary());

        Assert.StartsWith(finding, Assert.Single(check.Findings), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_gap_that_stands_still_while_film_moves_is_told()
    {
        MachineCheck check = await CheckAsync([], gapMoves: false);

        Assert.StartsWith(
            "The gap stood at 2050 for ",
            Assert.Single(check.Findings),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task A_gap_that_stands_still_while_the_film_does_too_is_all_right() =>
        Assert.Empty((await CheckAsync(new() { [Signal.UnwindSpeed] = 0 }, gapMoves: false)).Findings);

    [Fact]
    public async Task A_tag_that_is_missing_is_told_and_the_others_are_judged_all_the_same()
    {
        WatchedMachineSettings machine = Machine();
        ScriptedReader reader = new(new MonotonicClock(_time), ReadingSource.TagsOf([machine]))
        {
            Answer = (tag, _) =>
                tag switch
                {
                    "lineSpeed" => null,
                    "brakeOn" => 7,
                    "unwindSpeed" => 0,
                    _ => s_healthy[s_healthy.Keys.Single(known => known.Code() == tag)],
                },
        };

        MachineCheck check = Assert.Single((await CheckAsync(machine, reader)).Machines);

        Assert.Equal(
            [
                "lineSpeed: tag 'lineSpeed' was not found.",
                "brakeOn is 7; a switch is 0 or 1. Look at its tag, scale and offset.",
            ],
            check.Findings
        );
        Assert.Null(check.Tags.Single(tag => tag.Source.Signal == Signal.LineSpeed).Held);
    }

    [Fact]
    public async Task A_controller_that_does_not_answer_is_one_trouble_and_a_report_of_one_line()
    {
        WatchedMachineSettings machine = Machine();
        ScriptedReader reader = new(new MonotonicClock(_time), ReadingSource.TagsOf([machine]))
        {
            Answer = (_, _) => null,
            Trouble = "port 44818 of 192.0.2.10 refuses connections",
        };

        ControllerCheck check = await CheckAsync(machine, reader);

        await using StringWriter output = new(CultureInfo.InvariantCulture);
        Assert.Equal(1, CheckReport.Write(output, s_controller, check));
        Assert.Equal(
            $"packing-a at 192.0.2.10:44818: 0 reads, the slowest in 0.0 ms\n  LOOK  {reader.Polls} reads brought nothing: port 44818 of 192.0.2.10 refuses connections.\n",
            output.ToString()
        );
    }

    private async Task<MachineCheck> CheckAsync(Dictionary<Signal, double> odd, bool gapMoves = true)
    {
        WatchedMachineSettings machine = Machine();
        ScriptedReader reader = new(new MonotonicClock(_time), ReadingSource.TagsOf([machine]))
        {
            Answer = (tag, poll) =>
            {
                Signal signal = s_healthy.Keys.Single(known => known.Code() == tag);
                double value = odd.GetValueOrDefault(signal, s_healthy[signal]);
                return signal == Signal.Gap && gapMoves && poll == 1 ? value + 1 : value;
            },
        };
        return Assert.Single((await CheckAsync(machine, reader)).Machines);
    }

    private async Task<ControllerCheck> CheckAsync(WatchedMachineSettings machine, ScriptedReader reader)
    {
        MonotonicClock clock = new(_time);
        LiveCheck check = new(s_controller, [machine], reader, clock);
        Task<ControllerCheck> running = check.RunAsync(
            TimeSpan.FromSeconds(2),
            TestContext.Current.CancellationToken
        );
        while (!running.IsCompleted)
        {
            _time.Advance(TimeSpan.FromMilliseconds(20));
            await Task.Yield();
        }
        return await running;
    }

    private static WatchedMachineSettings Machine()
    {
        WatchedMachineSettings machine = Traces.Machine(
            "tea-1",
            [.. s_healthy.Keys.Where(signal => signal is not Signal.Gap and not Signal.UnwindSpeed)]
        );
        return machine with
        {
            Machine = machine.Machine with
            {
                Roll = new RollSettings { FullDiameterMillimeters = 350, MaximumUnwindMetersPerMinute = 40 },
            },
        };
    }
}
