using Dancerwatch.VirtualMachine.Tags;
using Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip;

namespace Dancerwatch.VirtualMachine.Tests.Tags;

public sealed class TagTableTests
{
    private readonly TagTable _table = new();

    [Fact]
    public void A_cell_gives_back_what_was_set()
    {
        Same(_table.AddBool("Tea1.Running"), true);
        Same(_table.AddSint("Sint"), sbyte.MinValue);
        Same(_table.AddInt("Tea1.DancerGap"), short.MinValue);
        Same(_table.AddDint("Dint"), int.MinValue);
        Same(_table.AddLint("Lint"), long.MinValue);
        Same(_table.AddReal("Tea1.UnwindSpeed"), float.NaN);
        Same(_table.AddLreal("Lreal"), double.Epsilon);
        Same(_table.AddString("Tea1.Recipe"), new string('z', 82));
        Same(_table.AddBool("Program:Main.Flag"), true);

        static void Same<T>(TagCell<T> cell, T value)
        {
            cell.Value = value;
            Assert.Equal(value, cell.Value);
        }
    }

    [Fact]
    public void A_structure_that_grows_keeps_its_values()
    {
        TagCell<short> gap = _table.AddInt("Tea1.DancerGap");
        gap.Value = 77;

        TagCell<double> later = _table.AddLreal("Tea1.Later");
        later.Value = 0.5;

        Assert.Equal(77, gap.Value);
        Assert.Equal(0.5, later.Value);
    }

    [Fact]
    public void Nine_bools_in_a_row_do_not_touch_each_other()
    {
        TagCell<bool>[] bools = [.. Enumerable.Range(0, 9).Select(i => _table.AddBool($"Tea1.Flag{i}"))];

        for (int set = 0; set < bools.Length; set++)
        {
            bools[set].Value = true;
            Assert.Equal(Enumerable.Range(0, 9).Select(i => i == set), bools.Select(cell => cell.Value));
            bools[set].Value = false;
        }
    }

    [Fact]
    public void A_shorter_text_leaves_nothing_of_a_longer_one()
    {
        TagCell<string> recipe = _table.AddString("Recipe");
        recipe.Value = "Darjeeling";
        recipe.Value = "Assam";

        Assert.Equal("Assam", recipe.Value);
    }

    [Fact]
    public void A_text_too_long_is_refused_with_both_lengths()
    {
        var error = Assert.Throws<ArgumentException>(() =>
            _table.AddString("Recipe").Value = new string('z', 83)
        );

        Assert.Contains("83 characters; a STRING holds up to 82", error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Arrays_are_bounded()
    {
        TagArray<bool> flags = _table.AddBools("Flags", 40);
        flags[39] = true;

        Assert.True(flags[39]);
        Assert.Throws<ArgumentOutOfRangeException>(() => flags[40]);
        Assert.Throws<ArgumentOutOfRangeException>(() => flags[-1] = true);
        Assert.Throws<ArgumentOutOfRangeException>(() => _table.AddReals("None", 0));
    }

    [Fact]
    public void Integers_have_bits_and_others_have_none()
    {
        TagCell<long> word = _table.AddLint("Word");
        word.Bit(63).Value = true;

        Assert.Equal(long.MinValue, word.Value);
        Assert.Throws<ArgumentOutOfRangeException>(() => word.Bit(64));
        Assert.Throws<ArgumentOutOfRangeException>(() => _table.AddReal("Real").Bit(0));
        Assert.Throws<ArgumentOutOfRangeException>(() => _table.AddBool("Bool").Bit(0));
    }

    [Theory]
    [InlineData("")]
    [InlineData(".")]
    [InlineData("Tea1.")]
    [InlineData("Tea1.Gap.Deeper")]
    [InlineData("1Tea")]
    [InlineData("Tea 1")]
    [InlineData("Täe")]
    [InlineData("Program:Main")]
    [InlineData("Program:.Tag")]
    [InlineData("A2345678901234567890123456789012345678901")]
    public void A_malformed_name_is_refused_and_named(string name)
    {
        var error = Assert.Throws<ArgumentException>(() => _table.AddInt(name));

        Assert.Contains($"'{name}'", error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_name_is_taken_once_whatever_its_case()
    {
        _table.AddInt("Gap");
        _table.AddInt("Tea1.Gap");
        _table.AddInt("Program:Main.Gap");

        Assert.Throws<ArgumentException>(() => _table.AddReal("GAP"));
        Assert.Throws<ArgumentException>(() => _table.AddReal("tea1.gap"));
        Assert.Throws<ArgumentException>(() => _table.AddReal("program:main.gap"));
        Assert.Throws<ArgumentException>(() => _table.AddReal("Gap.Member"));
        Assert.Throws<ArgumentException>(() => _table.AddReal("Tea1"));
    }

    [Fact]
    public void A_packet_of_reads_sees_one_scan()
    {
        Conversation plc = new();
        TagCell<int> first = plc.Table.AddDint("First");
        TagCell<int> second = plc.Table.AddDint("Second");
        byte[] request = Bytes.Packet(Bytes.ReadTag("First"), Bytes.ReadTag("Second"));
        using CancellationTokenSource enough = new();
        Thread machine = new(() =>
        {
            for (int scan = 0; !enough.IsCancellationRequested; scan++)
            {
                using (plc.Table.BeginScan())
                {
                    first.Value = scan;
                    second.Value = scan;
                }
            }
        });
        machine.IsBackground = true;
        machine.Start();

        HashSet<string> seen = [];
        for (int i = 0; i < 5000 || seen.Count < 2; i++)
        {
            string reply = plc.AskHex(request);
            Assert.Equal(reply[32..40], reply[52..60]);
            seen.Add(reply);
        }
        enough.Cancel();
        machine.Join();
    }

    [Fact]
    public void A_scan_allocates_nothing()
    {
        TagCell<short> gap = _table.AddInt("Tea1.DancerGap");
        TagCell<float> speed = _table.AddReal("Tea1.UnwindSpeed");
        TagCell<bool> running = _table.AddBool("Tea1.Running");
        TagCell<string> recipe = _table.AddString("Tea1.Recipe");
        TagArray<int> weights = _table.AddDints("Weights", 10);
        Scan(0);

        long allocated = Allocated.Bytes(_ =>
        {
            for (int i = 0; i < 2_000; i++)
                Scan(i);
        });

        Assert.Equal(0, allocated);

        void Scan(int i)
        {
            using (_table.BeginScan())
            {
                gap.Value = (short)i;
                speed.Value = i;
                running.Value = i % 2 == 0;
                recipe.Value = "Assam";
                weights[i % 10] = i;
            }
        }
    }
}
