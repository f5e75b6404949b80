using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Outbox.Disk;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Outbox.Disk;

public sealed class CursorFileTests
{
    private static Cursor At(long done) => new(done, new LostRange(done / 2, done, 3));

    [Fact]
    public void A_new_one_has_found_nothing()
    {
        using CursorFile cursor = CursorFile.Open(new FragileFolder());

        Assert.Null(cursor.Found);
    }

    [Property]
    public void A_killed_process_leaves_it_as_it_was_saved_last(bool[] flushes)
    {
        FragileFolder folder = new();
        using CursorFile cursor = CursorFile.Open(folder);
        long done = 0;
        foreach (bool flush in flushes ?? [])
        {
            cursor.Save(At(++done));
            if (flush)
                cursor.Flush();

            using CursorFile after = CursorFile.Open(folder.Kill());
            Assert.Equal(At(done), after.Found);
        }
    }

    [Property(MaxTest = 500)]
    public void A_power_cut_leaves_what_was_flushed_or_something_later(bool[] flushes, int seed)
    {
        Random random = new(seed);
        FragileFolder folder = new();
        CursorFile cursor = CursorFile.Open(folder);
        cursor.Save(At(0));
        cursor.Flush();
        long saved = 0;
        long flushed = 0;
        foreach (bool flush in flushes ?? [])
        {
            cursor.Save(At(++saved));
            if (flush)
                flushed = cursor.Flush().Done;
            if (random.Next(3) > 0)
                continue;
            folder = random.Next(2) == 0 ? folder.CutPower(random) : folder.Kill();
            cursor.Dispose();
            cursor = CursorFile.Open(folder);
            Assert.NotNull(cursor.Found);
            Assert.Equal(At(cursor.Found.Value.Done), cursor.Found);
            Assert.InRange(cursor.Found.Value.Done, flushed, saved);
            flushed = saved = cursor.Found.Value.Done;
        }
        cursor.Dispose();
    }

    [Fact]
    public void What_is_saved_while_it_is_flushed_spoils_nothing_and_outlives_a_kill()
    {
        FragileFolder folder = new();
        using CursorFile cursor = CursorFile.Open(folder);
        cursor.Save(At(1));
        cursor.Flush();
        cursor.Save(At(2));
        FragileFolder? killed = null;
        FragileFolder[] cut = [];
        folder.Flushing = () =>
        {
            cursor.Save(At(3));
            cursor.Save(At(4));
            killed = folder.Kill();
            cut = [.. Enumerable.Range(0, 100).Select(seed => folder.CutPower(new Random(seed)))];
            folder.Flushing = () => { };
        };

        Cursor onDisk = cursor.Flush();

        Assert.Equal(2, onDisk.Done);
        using CursorFile after = CursorFile.Open(killed!);
        Assert.Equal(At(4), after.Found);
        Assert.All(cut, power => Assert.InRange(FoundIn(power), 1, 4));
        Assert.All(
            Enumerable.Range(0, 100),
            seed => Assert.InRange(FoundIn(folder.CutPower(new Random(seed))), 2, 4)
        );
    }

    private static long FoundIn(FragileFolder folder)
    {
        using CursorFile cursor = CursorFile.Open(folder);
        return cursor.Found?.Done ?? -1;
    }

    [Fact]
    public void A_flush_that_fails_is_made_good_by_the_next()
    {
        FragileFolder folder = new();
        using CursorFile cursor = CursorFile.Open(folder);
        cursor.Save(At(1));
        folder.Flushing = () => throw new IOException("no");
        Assert.Throws<IOException>(() => cursor.Flush());
        folder.Flushing = () => { };

        Assert.Equal(1, cursor.Flush().Done);

        for (int seed = 0; seed < 50; seed++)
        {
            using CursorFile after = CursorFile.Open(folder.CutPower(new Random(seed)));
            Assert.Equal(At(1), after.Found);
        }
    }

    [Fact]
    public void One_damaged_place_leaves_what_was_flushed_before()
    {
        FragileFolder folder = new();
        using (CursorFile cursor = CursorFile.Open(folder))
        {
            for (int done = 1; done <= 3; done++)
            {
                cursor.Save(At(done));
                cursor.Flush();
            }
        }
        folder.Damage(CursorFile.Name, bytes => bytes.AsSpan(0, 100).Fill(0xA5));

        using CursorFile after = CursorFile.Open(folder);

        Assert.InRange(after.Found!.Value.Done, 2, 3);
    }
}
