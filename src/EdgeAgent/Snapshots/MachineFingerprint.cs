using System.IO.Hashing;
using System.Text;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Roll;

namespace Dancerwatch.EdgeAgent.Snapshots;

/// <summary>
/// XXH128 of all that gives the numbers of a machine their meaning: its place, tags, set points, roll and poll. Limits and
/// delays of warnings are left out, so that setting one forgets nothing. No cryptographic hash: nobody gains by a false one, and
/// it would load OpenSSL, 6 MB, where there is no TLS.
/// </summary>
internal static class MachineFingerprint
{
    public const int Length = 16;

    public static byte[] Of(string path, WatchedMachineSettings machine)
    {
        using MemoryStream bytes = new();
        using BinaryWriter writer = new(bytes, Encoding.UTF8);
        writer.Write(path);
        foreach (SignalSource source in machine.Signals.OrderBy(source => source.Signal))
        {
            writer.Write((int)source.Signal);
            writer.Write(source.Tag.ToString());
            writer.Write(source.Scale);
            writer.Write(source.Offset);
        }
        writer.Write(machine.Machine.PollSeconds);
        Write(writer, machine.Machine.Fill);
        Write(writer, machine.Machine.Roll);
        writer.Flush();
        return XxHash128.Hash(bytes.GetBuffer().AsSpan(0, (int)bytes.Length));
    }

    private static void Write(BinaryWriter writer, FillSettings fill)
    {
        writer.Write(fill.GapAtEmpty);
        writer.Write(fill.GapAtFull);
        writer.Write(fill.TargetPercent);
        writer.Write(fill.GapResolution);
        writer.Write(fill.GapMinimum);
        writer.Write(fill.GapMaximum);
        foreach ((double straight, double actual) in fill.Cam)
        {
            writer.Write(straight);
            writer.Write(actual);
        }
        writer.Write(fill.OvertravelPercent);
        writer.Write(fill.TripHoldSeconds);
        writer.Write(fill.StorageMillimeters);
    }

    private static void Write(BinaryWriter writer, RollSettings roll)
    {
        writer.Write(roll.CoreDiameterMillimeters);
        writer.Write(roll.FullDiameterMillimeters);
        writer.Write(roll.FilmThicknessMicrometers);
        writer.Write(roll.MaximumUnwindMetersPerMinute);
    }
}
