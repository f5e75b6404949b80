using System.Globalization;
using Dancerwatch.EdgeAgent.Commands.Tailing;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.VirtualMachine.Hall;

namespace Dancerwatch.EdgeAgent.Demo;

/// <summary>Tells what happens while it happens, and sums it up. Called from several threads.</summary>
internal sealed class DemoVoice(TextWriter output, DemoJournal journal, TimeProvider time)
    : IEventListenerSink
{
    private readonly Lock _gate = new();
    private readonly TaskCompletionSource _listening = new(
        TaskCreationOptions.RunContinuationsAsynchronously
    );

    /// <summary>Completed once the broker has let us in.</summary>
    public Task Listening => _listening.Task;

    public void Connected() => _listening.TrySetResult();

    public void ConnectFailed(string trouble, TimeSpan nextTry) => Say($"The broker {trouble}.");

    public void ConnectionLost(string trouble) => Say($"The broker is lost: it {trouble}.");

    public void FilesRenewed()
    {
        // The demo's broker wants no files.
    }

    public void RenewalUnusable(string trouble) => FilesRenewed();

    public void Refused(string trouble) => Say($"The broker {trouble}.");

    public void NotUnderstood(string topic, string problem) => Say($"Not understood, on {topic}: {problem}");

    public void Heard(ReceivedEvent heard)
    {
        journal.Note(heard);
        Say(WarningText.Of(heard, time.LocalTimeZone).TrimEnd('\n'));
    }

    public void Heard(ReceivedLoss heard) => Say(WarningText.Of(heard, time.LocalTimeZone).TrimEnd('\n'));

    public void Tripped(HallTrip trip)
    {
        journal.Note(trip);
        string now = time.GetLocalNow().ToString("HH:mm:ss", CultureInfo.InvariantCulture);
        Say(
            $"{now}  {trip.Machine}  TRIPPED past {DemoJournal.SideOf(trip)}: the machine has stopped itself."
        );
    }

    public void Say(string line)
    {
        lock (_gate)
        {
            output.WriteLine(line);
            output.Flush();
        }
    }

    /// <summary>A table: machine, trip, warning, lead, cause named.</summary>
    public void SumUp(IEnumerable<MachineOutcome> outcomes, string wire)
    {
        Say("");
        Say("machine  tripped              warned of that side  lead     condition        cause named");
        foreach (MachineOutcome outcome in outcomes)
            Say(Row(outcome));
        Say("");
        Say(wire);
    }

    private static string Row(MachineOutcome outcome)
    {
        string tripped = outcome.TrippedAt is { } at ? $"{Seconds(at)}, {outcome.Side} side" : "no";
        string warned = outcome.WarnedAt is { } warnedAt ? Seconds(warnedAt) : "no";
        string lead = outcome is { TrippedAt: { } trip, WarnedAt: { } warning }
            ? Seconds(trip - warning)
            : "";
        string cause = outcome.LastWarning is { Causes: [var named, ..] } ? named.Cause : "";
        return string.Create(
                CultureInfo.InvariantCulture,
                $"{outcome.Machine.Name, -8} {tripped, -20} {warned, -20} {lead, -8} {outcome.Warning?.Condition, -16} {cause}"
            )
            .TrimEnd();
    }

    private static string Seconds(TimeSpan span) =>
        string.Create(CultureInfo.InvariantCulture, $"{span.TotalSeconds:F1} s");
}
