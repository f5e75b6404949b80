using System.Globalization;

namespace Dancerwatch.Bench.FleetHistory.Making;

/// <summary>What was really the case, as CSV files beside the data set; times in s of the day.</summary>
internal static class TruthFiles
{
    public static void Write(FleetFolders into, IReadOnlyList<Truth> machines, IEnumerable<OddSetting> odd)
    {
        Directory.CreateDirectory(Path.GetDirectoryName(into.Truth("rolls"))!);
        Write(
            into.Truth("rolls"),
            "site,line,machine,from_s,to_s,out_of_round_mm",
            from m in machines
            from roll in m.Rolls
            select Row($"{Of(m.Machine)},{roll.From:F1},{roll.To:F1},{roll.OutOfRoundMillimeters:F3}")
        );
        Write(
            into.Truth("trips"),
            "site,line,machine,at_s,side,started_s",
            from m in machines
            from trip in m.Trips
            select Row($"{Of(m.Machine)},{trip.At:F1},{(trip.IsFull ? "full" : "empty")},{trip.StartedAt:F1}")
        );
        Write(
            into.Truth("wrong"),
            "site,line,machine,fault,from_s,to_s",
            from m in machines
            from wrong in m.Wrong
            select Row($"{Of(m.Machine)},{wrong.Fault},{wrong.From:F1},{Math.Min(wrong.To, 1e6):F1}")
        );
        Write(
            into.Truth("settings"),
            "site,line,machine,setting,value",
            odd.Select(o => Row($"{Of(o.Machine)},{o.Setting},{o.Value}"))
        );
        MarginTally all = new();
        foreach (Truth machine in machines)
            all.Add(machine.Margins);
        Write(
            into.Truth("margins"),
            "product,speed_m_min,shift,polls,full_margin,empty_margin",
            from g in all.Groups
            orderby g
            let of = all.Of(g)
            select Row($"{g.Product},{g.Speed},{g.Shift},{of.Polls},{of.Full:F3},{of.Empty:F3}")
        );
    }

    private static string Of(PlannedMachine machine) => $"{machine.Site},{machine.Line},{machine.Name}";

    private static void Write(string path, string header, IEnumerable<string> rows) =>
        File.WriteAllLines(path, rows.Prepend(header));

    private static string Row(FormattableString row) => row.ToString(CultureInfo.InvariantCulture);
}
