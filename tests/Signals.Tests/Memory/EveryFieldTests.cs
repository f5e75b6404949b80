using System.Collections;
using System.Reflection;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Tests.Memory;

/// <summary>
/// A field that a class forgets to keep shows here by its name: every field of an assessor that saw a hole in the readings
/// is compared with that of one that was saved before the hole and restored.
/// </summary>
public sealed class EveryFieldTests
{
    /// <summary>What may differ. Objects of a class that keeps nothing are named by who holds them, and not looked into.</summary>
    private static readonly HashSet<string> s_mayDiffer =
    [
        // Settings.
        "ConditionBoard._signs",
        "ConditionLatch.settings",
        "MachineAssessor._fillSettings",
        "RollTracker._settings",
        // Counted anew from what is kept; RestoreTests compares the bands that come of it.
        "BandWindow.Counts",
        "LongWindow.Counts",
        "RobustTrend._slopes",
        // Kept by its holder.
        "WelchCoherence._ring",
        // Places to calculate in.
        "LongWindow._leaving",
        "OscillationDetector._analysis",
        "RecentMedian._scratch",
        "RobustTrend._left",
        "RobustTrend._scratch",
        "Usual._scratch",
        "WelchCoherence._transform",
        // Packed before anything is kept.
        "LongWindow._entering",
        "SortedBlocks._before",
        "SortedBlocks._writeByte",
        // A look under way is begun anew.
        "LookOrder.CycleHz",
        "LookOrder.Seconds",
        "LookOrder.TurnHz",
        "LookOrder.Window",
        // Ended by the hole; of trends the places that nothing stands in any more.
        "RunningFilm.Flow",
        "RunningFilm._blocks",
        "RunningFilm._held",
        "RobustTrend._seconds",
        "RobustTrend._values",
    ];

    [Fact]
    public void A_restored_assessor_has_every_field_of_one_that_saw_a_hole()
    {
        Reading[] trace = RestlessTrace.Readings;
        MachineAssessor through = new(TestFilm.Settings);
        SortedSet<string> differing = [];
        int cuts = 0;
        for (int i = 0; i < trace.Length - 1_000; i++)
        {
            through.Process(trace[i]);
            if (i % 1_100 < 1_099)
                continue;
            cuts++;
            MachineAssessor restored = MachineAssessor.Restore(
                TestFilm.Settings,
                RestoreTests.Save(through),
                trace[i].Ticks,
                TimeSpan.Zero
            );
            // Missed, at 20 ms: 1.6 s or more, up to the next good reading.
            i += 80;
            while (trace[i].Quality != Quality.Good)
                i++;
            through.Process(trace[i]);
            restored.Process(trace[i]);
            new Comparison(differing).Compare(through, restored, "");
        }
        Assert.InRange(cuts, 30, 60);
        differing.SymmetricExceptWith(s_mayDiffer);
        Assert.True(differing.Count == 0, string.Join("\n", differing));
    }

    private sealed class Comparison(SortedSet<string> differing)
    {
        private readonly HashSet<object> _seen = new(ReferenceEqualityComparer.Instance);

        public void Compare(object? one, object? other, string name)
        {
            if (one is null || other is null || one.GetType() != other.GetType())
            {
                if (one is not null || other is not null)
                    differing.Add(name);
                return;
            }
            Type type = one.GetType();
            if (type.IsPrimitive || type.IsEnum || one is string)
            {
                if (!one.Equals(other))
                    differing.Add(name);
                return;
            }
            if (one is Delegate || (!type.IsValueType && !_seen.Add(one)))
                return;
            if (!type.IsValueType && !type.IsArray && IsOurs(type) && !Keeps(type))
            {
                differing.Add(name);
                return;
            }
            if (one is Array array)
            {
                Array others = (Array)other;
                if (array.Length != others.Length)
                    differing.Add(name);
                else
                    CompareAll(array, others, name);
            }
            else if (one is IEnumerable list && !IsOurs(type))
            {
                object[] a = [.. list.Cast<object>()];
                object[] b = [.. ((IEnumerable)other).Cast<object>()];
                if (a.Length != b.Length)
                    differing.Add(name);
                else
                    CompareAll(a, b, name);
            }
            else
            {
                foreach (FieldInfo field in Fields(type))
                    Compare(field.GetValue(one), field.GetValue(other), $"{type.Name}.{NameOf(field)}");
            }
        }

        private static bool IsOurs(Type type) => type.Assembly == typeof(MachineAssessor).Assembly;

        private static bool Keeps(Type type) =>
            type.GetMethods(
                    BindingFlags.Instance | BindingFlags.Static | BindingFlags.Public | BindingFlags.NonPublic
                )
                .Any(method => method.Name == "Keep");

        private void CompareAll(Array one, Array other, string name)
        {
            IEnumerator others = other.GetEnumerator();
            foreach (object? item in one)
            {
                others.MoveNext();
                Compare(item, others.Current, name);
            }
        }

        private static FieldInfo[] Fields(Type type) =>
            type.GetFields(BindingFlags.Instance | BindingFlags.Public | BindingFlags.NonPublic);

        /// <summary>A property's field is called after it.</summary>
        private static string NameOf(FieldInfo field) =>
            field.Name.StartsWith('<')
                ? field.Name[1..field.Name.IndexOf('>', StringComparison.Ordinal)]
                : field.Name;
    }
}
