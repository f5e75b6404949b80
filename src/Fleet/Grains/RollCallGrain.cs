using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.Fleet.Holding;
using Microsoft.Extensions.Logging;
using Orleans.Runtime.Placement;

namespace Dancerwatch.Fleet.Grains;

/// <summary>
/// Asks every controller of the configuration, every second, where it is: one that is nowhere comes to be by being asked, at the
/// host with the fewest. Where a host has at least two more than another, half of the difference moves.
/// </summary>
[KeepAlive, GrainType("roll-call")]
internal sealed class RollCallGrain(
    IGrainFactory grains,
    IClusterMembershipService members,
    HostRooms rooms,
    ILogger<RollCallGrain> logger
) : Grain, IRollCallGrain, IRemindable
{
    /// <summary>Time between two rounds; with many controllers a round itself takes longer.</summary>
    private static readonly TimeSpan s_pause = TimeSpan.FromSeconds(1);

    /// <summary>A controller that does not answer for so long is asked again in the next round.</summary>
    private static readonly TimeSpan s_answer = TimeSpan.FromSeconds(2);

    /// <summary>So many move in one round: each is unread for a moment.</summary>
    private const int MostMoves = 16;

    private static readonly TimeSpan s_reminder = TimeSpan.FromMinutes(1);

    private readonly Dictionary<string, SiloAddress> _places = [];
    private IGrainTimer? _timer;

    public override Task OnActivateAsync(CancellationToken cancellationToken)
    {
        _timer = this.RegisterGrainTimer(
            RoundAsync,
            new GrainTimerCreationOptions(TimeSpan.Zero, s_pause) { KeepAlive = true }
        );
        this.RegisterGrainTimer(
            RemindAsync,
            new GrainTimerCreationOptions(TimeSpan.Zero, s_reminder) { Interleave = true }
        );
        return Task.CompletedTask;
    }

    public Task CallAsync(bool atOnce)
    {
        if (atOnce)
            _timer?.Change(TimeSpan.Zero, s_pause);
        return Task.CompletedTask;
    }

    /// <summary>The hosts call each second; should they all stop calling, a reminder still wakes it. Nothing waits for it.</summary>
    private async Task RemindAsync(CancellationToken cancellation)
    {
        try
        {
            await this.RegisterOrUpdateReminder("roll-call", s_reminder, s_reminder, cancellation);
        }
#pragma warning disable CA1031 // It is tried again.
        catch (Exception failure)
#pragma warning restore CA1031
        {
            string trouble = failure.GetBaseException().Message;
            logger.NoReminder(trouble);
        }
    }

    public Task ReceiveReminder(string reminderName, TickStatus status) => Task.CompletedTask;

    private async Task RoundAsync(CancellationToken cancellation)
    {
        Dictionary<SiloAddress, int> load = members
            .CurrentSnapshot.Members.Values.Where(member => member.Status == SiloStatus.Active)
            .ToDictionary(member => member.SiloAddress, _ => 0);
        if (load.Count == 0)
            return;
        foreach ((string name, SiloAddress place) in _places.ToList())
        {
            if (load.TryGetValue(place, out int count))
                load[place] = count + 1;
            else
                _places.Remove(name);
        }
        Task<ControllerReport?>[] answers =
        [
            .. rooms.Settings.Controllers.Where(one => rooms.MachinesOf(one).Count > 0).Select(Ask),
        ];
        ControllerReport?[] reports = await Task.WhenAll(answers);
        if (reports.All(report => report is { IsPolled: true }))
            await BalanceAsync(load.Keys);

        async Task<ControllerReport?> Ask(ControllerSettings controller)
        {
            if (!_places.TryGetValue(controller.Name, out SiloAddress? place))
            {
                place = load.MinBy(pair => pair.Value).Key;
                load[place]++;
            }
            if (await AskAsync(controller.Name, place) is not { } report)
                return null;
            _places[controller.Name] = report.Host;
            return report;
        }
    }

    private async Task<ControllerReport?> AskAsync(string controller, SiloAddress place)
    {
        RequestContext.Set(IPlacementDirector.PlacementHintKey, place);
        try
        {
            return await grains
                .GetGrain<IControllerGrain>(controller)
                .ReportAsync()
                .WaitAsync(s_answer, rooms.Clock.Time);
        }
#pragma warning disable CA1031 // Its host is on its way out, or not yet known to be lost: the next round asks again.
        catch (Exception)
#pragma warning restore CA1031
        {
            return null;
        }
    }

    private async Task BalanceAsync(IEnumerable<SiloAddress> hosts)
    {
        Dictionary<SiloAddress, List<string>> at = hosts.ToDictionary(host => host, _ => new List<string>());
        foreach ((string name, SiloAddress place) in _places)
        {
            if (at.TryGetValue(place, out List<string>? names))
                names.Add(name);
        }
        (SiloAddress most, List<string> many) = at.MaxBy(pair => pair.Value.Count);
        (SiloAddress least, List<string> few) = at.MinBy(pair => pair.Value.Count);
        int moves = Math.Min(MostMoves, (many.Count - few.Count) / 2);
        if (moves == 0)
            return;
        string from = NameOf(most);
        string to = NameOf(least);
        logger.Moves(moves, from, to);
        foreach (string name in many.Take(moves))
        {
            await grains.GetGrain<IControllerGrain>(name).MoveAsync(least);
            _places[name] = least;
        }
    }

    private string NameOf(SiloAddress host) =>
        members.CurrentSnapshot.Members.TryGetValue(host, out ClusterMember? member)
            ? member.Name
            : $"{host}";
}
