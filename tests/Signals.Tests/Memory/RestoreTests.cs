using System.Buffers;
using Dancerwatch.Signals.Bands;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Warnings;
using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;

namespace Dancerwatch.Signals.Tests.Memory;

/// <summary>A restart is a hole in the readings and nothing else: who was saved and restored goes on like who saw the hole.</summary>
public sealed class RestoreTests
{
    private static readonly Reading[] s_trace = RestlessTrace.Readings;

    /// <summary>Where to cut, how many readings are missed (at 20 ms, 1.2 s to 2.8 s), and how far the clocks are apart.</summary>
    public sealed record Cut(int At, int Missed, long ShiftTicks);

    public static class Cuts
    {
        public static Arbitrary<Cut> Cut() =>
            (
                from at in Gen.Choose(1, s_trace.Length - 200)
                from missed in Gen.Choose(60, 140)
                from shift in Gen.Choose(-1_000_000_000, 1_000_000_000)
                select new Cut(at, missed, shift * 7L)
            ).ToArbitrary();
    }

    [Property(Arbitrary = [typeof(Cuts)], MaxTest = 60)]
    public void Wherever_it_is_cut_the_bands_are_the_same_and_so_is_all_that_is_raised_later(Cut cut)
    {
        (Told through, Told restored) = BothWays(cut with { ShiftTicks = 0 });
        Assert.Equal(through.Bands, restored.Bands);
        Assert.Equal(through.Transitions.Select(Said), restored.Transitions.Select(Said));
    }

    /// <summary>
    /// Bins and cycles begin elsewhere on another clock, so that spectra and trends differ in their last digits, and what
    /// leans on them comes a little sooner or later: with or without a restart.
    /// </summary>
    [Property(Arbitrary = [typeof(Cuts)], MaxTest = 60)]
    public void On_a_clock_that_begins_anew_the_bands_are_the_same_and_what_is_raised_is_the_same_occurrence(
        Cut cut
    )
    {
        (Told through, Told restored) = BothWays(cut);
        Assert.Equal(through.Bands, restored.Bands);
        long before = s_trace[cut.At - 1].Ticks;
        Assert.Equal(Of(through), Of(restored));

        // Of those open at the cut: which end, with which onset.
        IEnumerable<(Condition, long)> Of(Told told) =>
            told
                .Transitions.Where(t => t.State == ConditionState.Cleared && t.OnsetTicks <= before)
                .Select(t => (t.Condition, t.OnsetTicks))
                .Order();
    }

    [Fact]
    public void The_trace_that_is_cut_raises_much()
    {
        List<ConditionTransition> told = Follow(new(TestFilm.Settings), s_trace, 0).Transitions;
        Assert.True(told.Select(t => t.Condition).Distinct().Count() >= 5, Summary(told));
        Assert.True(told.Count(t => t.State == ConditionState.Raised) >= 10, Summary(told));
    }

    [Fact]
    public void What_is_raised_stays_the_same_occurrence_and_is_cleared_once()
    {
        int at = FirstRaised(Condition.TripLikely) + 50;
        MachineAssessor before = new(TestFilm.Settings);
        Follow(before, s_trace.AsSpan(0, at), 0);
        ConditionTransition open = before.Open(Condition.TripLikely)!;

        // Away for ten minutes, on a clock that begins anew.
        long now = 0;
        MachineAssessor after = MachineAssessor.Restore(
            TestFilm.Settings,
            Save(before),
            now,
            TimeSpan.FromMinutes(10)
        );
        ConditionTransition carried = after.Open(Condition.TripLikely)!;
        Assert.Equal((open.Step, open.Side, open.Evidence), (carried.Step, carried.Side, carried.Evidence));
        Assert.Equal(
            TimeSpan.FromMinutes(10).Ticks,
            now - carried.Ticks - (s_trace[at - 1].Ticks - open.Ticks)
        );

        TestFilm film = new();
        List<ConditionTransition> told = [];
        for (int i = 0; i < 10_000; i++)
            told.AddRange(after.Process(film.Next(50)).Transitions);
        ConditionTransition[] its = [.. told.Where(t => t.Condition == Condition.TripLikely)];
        Assert.All(its, t => Assert.Equal(carried.OnsetTicks, t.OnsetTicks));
        Assert.DoesNotContain(its, t => t.State == ConditionState.Raised);
        Assert.Equal(
            ConditionState.Cleared,
            Assert.Single(its, t => t.State != ConditionState.Changed).State
        );
        Assert.Equal(ConditionState.Cleared, its[^1].State);
        Assert.DoesNotContain(told, t => t.Condition == Condition.DataLost);
    }

    [Theory]
    [InlineData(7.9, true)]
    [InlineData(8.1, false)]
    public void After_more_than_eight_hours_the_windows_are_void(double hours, bool isKept)
    {
        MachineAssessor before = new(TestFilm.Settings);
        Follow(before, s_trace.AsSpan(0, 10_000), 0);
        int count = before.Process(s_trace[10_000]).EightHours.Count;
        MachineAssessor after = MachineAssessor.Restore(
            TestFilm.Settings,
            Save(before),
            0,
            TimeSpan.FromHours(hours)
        );
        TestFilm film = new();
        Assessment a = after.Process(film.Next(50));
        for (int i = 0; i < 1_000; i++)
            a = after.Process(film.Next(50));
        Assert.Equal(isKept, a.EightHours.Count > count);
    }

    [Fact]
    public void Data_lost_before_the_restart_is_not_told_again_and_time_away_is_no_loss()
    {
        TestFilm film = new();
        MachineAssessor before = new(TestFilm.Settings);
        for (int i = 0; i < 1_000; i++)
            before.Process(film.Next(50));
        for (int i = 0; i < 100; i++) // 2 s: not told yet
            before.Process(film.NextFailed());
        MachineAssessor after = MachineAssessor.Restore(
            TestFilm.Settings,
            Save(before),
            0,
            TimeSpan.FromMinutes(1)
        );
        TestFilm later = new();
        List<ConditionTransition> told = [];
        for (int i = 0; i < 40; i++)
        {
            Reading failed = later.NextFailed();
            told.AddRange(
                after.Process(failed with { Ticks = failed.Ticks - TimeSpan.TicksPerSecond }).Transitions
            );
        }
        Assert.Empty(told);
        for (int i = 0; i < 40; i++)
        {
            Reading failed = later.NextFailed();
            told.AddRange(
                after.Process(failed with { Ticks = failed.Ticks - TimeSpan.TicksPerSecond }).Transitions
            );
        }
        Assert.Equal(Condition.DataLost, Assert.Single(told).Condition);

        MachineAssessor again = MachineAssessor.Restore(
            TestFilm.Settings,
            Save(after),
            0,
            TimeSpan.FromMinutes(1)
        );
        told.Clear();
        for (int i = 0; i < 500; i++)
            told.AddRange(again.Process(later.NextFailed()).Transitions);
        Assert.Empty(told);
    }

    [Fact]
    public void Saving_what_was_restored_gives_the_same_bytes()
    {
        MachineAssessor before = new(TestFilm.Settings);
        Follow(before, s_trace.AsSpan(0, 20_000), 0);
        byte[] saved = Save(before);
        long now = s_trace[19_999].Ticks;
        byte[] once = Save(MachineAssessor.Restore(TestFilm.Settings, saved, now, TimeSpan.Zero));
        Assert.Equal(once, Save(MachineAssessor.Restore(TestFilm.Settings, once, now, TimeSpan.Zero)));
    }

    internal static byte[] Save(MachineAssessor assessor)
    {
        ArrayBufferWriter<byte> into = new();
        assessor.Save(into);
        return into.WrittenSpan.ToArray();
    }

    private static int FirstRaised(Condition condition)
    {
        MachineAssessor assessor = new(TestFilm.Settings);
        return Array.FindIndex(
            s_trace,
            reading => assessor.Process(reading).Transitions.Any(t => t.Condition == condition)
        );
    }

    private sealed record Told(List<ConditionTransition> Transitions, List<BandEstimate> Bands);

    private static (Told Through, Told Restored) BothWays(Cut cut)
    {
        MachineAssessor through = new(TestFilm.Settings);
        Follow(through, s_trace.AsSpan(0, cut.At), 0);
        MachineAssessor restored = MachineAssessor.Restore(
            TestFilm.Settings,
            Save(through),
            s_trace[cut.At - 1].Ticks + cut.ShiftTicks,
            TimeSpan.Zero
        );
        ReadOnlySpan<Reading> rest = s_trace.AsSpan(cut.At + cut.Missed);
        return (Follow(through, rest, 0), Follow(restored, rest, cut.ShiftTicks));
    }

    private static Told Follow(MachineAssessor assessor, ReadOnlySpan<Reading> readings, long shiftTicks)
    {
        List<ConditionTransition> told = [];
        List<BandEstimate> bands = [];
        int i = 0;
        foreach (ref readonly Reading reading in readings)
        {
            Assessment a = assessor.Process(reading with { Ticks = reading.Ticks + shiftTicks });
            told.AddRange(
                a.Transitions.Select(t =>
                    t with
                    {
                        Ticks = t.Ticks - shiftTicks,
                        OnsetTicks = t.OnsetTicks - shiftTicks,
                    }
                )
            );
            if (i++ % 500 == 0)
                bands.AddRange([a.OneMinute, a.FifteenMinutes, a.EightHours]);
        }
        return new Told(told, bands);
    }

    private static string Said(ConditionTransition t) =>
        $"{t.Ticks} {t.OnsetTicks} {t.Step} {t.Condition} {t.State} {t.Priority} {t.Side} {t.Causes.First.Cause}";

    private static string Summary(IEnumerable<ConditionTransition> told) =>
        string.Join('\n', told.Select(Said));
}
