using System.Globalization;
using System.Text.Json;
using Dancerwatch.Bench.FleetHistory.Making;

namespace Dancerwatch.Bench.FleetHistory.Checking;

/// <summary>
/// Trips, leads and warnings without a trip, by site, against the true trips and the events as they were sent, walked through
/// one by one.
/// </summary>
internal static class LeadCheck
{
    public const string Question = "lead-and-false.sql";
    private static readonly string[] s_notCounted = ["data-lost", "roll-ending", "sensor-suspect"];

    private sealed record Sent(string Id, string Machine, string State, string? Side, double At);

    public static IEnumerable<Finding> Check(IReadOnlyList<AnswerRow> answer, FleetFolders folders)
    {
        IReadOnlyList<AnswerRow> trips = TruthTable.Read(folders.Truth("trips"));
        IReadOnlyList<AnswerRow> wrong = TruthTable.Read(folders.Truth("wrong"));
        foreach (AnswerRow row in answer)
        {
            string site = row.Text("site");
            Sent[] sent = [.. Read(folders.Incoming(site))];
            AnswerRow[] here = [.. trips.Where(trip => trip.Text("site") == site)];
            double[] leads = [.. here.Select(trip => Lead(trip, sent)).Where(double.IsFinite)];
            Sent[] raised = [.. sent.Where(e => e.State == "raised")];
            int notFollowed = raised.Count(e =>
                !here.Any(t =>
                    t.Text("machine") == e.Machine
                    && t.Number("at_s") > e.At
                    && t.Number("at_s") <= e.At + 1800
                )
            );
            int baseless = raised.Count(e =>
                !wrong.Any(w =>
                    w.Text("site") == site
                    && w.Text("machine") == e.Machine
                    && e.At >= w.Number("from_s")
                    && e.At <= w.Number("to_s")
                )
            );
            double median = RollCheck.Median(leads);
            bool isRight =
                row.Number("trips") == here.Length
                && row.Number("warned") == leads.Length
                && row.Number("raised") == raised.Length
                && row.Number("not_followed") == notFollowed
                && (leads.Length == 0 || Math.Abs(row.Number("median_lead_s") - median) < 0.5);
            yield return new Finding(
                Question,
                isRight,
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{site}: {row.Number("trips")} trips ({here.Length} true), {row.Number("warned")} warned of ({leads.Length}), median lead {row.Number("median_lead_s")} s ({median:F1}); {row.Number("raised")} raised ({raised.Length}), {row.Number("not_followed")} with no trip in 30 min ({notFollowed}); really nothing was wrong at {baseless}; {row.Number("running_hours")} h of running"
                )
            );
        }
    }

    private static double Lead(AnswerRow trip, IEnumerable<Sent> sent) =>
        sent.Where(e =>
                e.Machine == trip.Text("machine")
                && e.State != "cleared"
                && e.Side == trip.Text("side")
                && e.At > trip.Number("started_s")
                && e.At < trip.Number("at_s")
            )
            .Select(e => trip.Number("at_s") - e.At)
            .DefaultIfEmpty(double.NaN)
            .Max();

    private static IEnumerable<Sent> Read(string path)
    {
        HashSet<string> known = [];
        foreach (string line in File.ReadLines(path))
        {
            JsonElement sent = JsonElement.Parse(line);
            JsonElement data = sent.GetProperty("data");
            string id = sent.GetProperty("id").GetString()!;
            if (!known.Add(id) || s_notCounted.Contains(data.GetProperty("condition").GetString()))
                continue;
            yield return new Sent(
                id,
                data.GetProperty("machine").GetString()!,
                data.GetProperty("state").GetString()!,
                data.GetProperty("side").GetString(),
                (data.GetProperty("ts").GetInt64() - Shifts.Midnight.ToUnixTimeMilliseconds()) / 1000.0
            );
        }
    }
}
