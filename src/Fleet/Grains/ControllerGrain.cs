using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.Fleet.Holding;
using Microsoft.Extensions.Logging;
using Orleans.Placement;
using Orleans.Runtime.Placement;

namespace Dancerwatch.Fleet.Grains;

/// <summary>Holds a controller for as long as it is active here.</summary>
[KeepAlive, ActivationCountBasedPlacement, GrainType("controller")]
internal sealed class ControllerGrain(
    IGrainContext context,
    HostRooms rooms,
    ILocalSiloDetails silo,
    ILogger<ControllerGrain> logger
) : Grain, IControllerGrain, IDisposable
{
    private readonly CancellationTokenSource _release = new();
    private HeldController? _held;
    private Task _holding = Task.CompletedTask;

    public override Task OnActivateAsync(CancellationToken cancellationToken)
    {
        string name = this.GetPrimaryKeyString();
        ControllerSettings settings =
            rooms.Settings.Controllers.FirstOrDefault(one => one.Name == name)
            ?? throw new InvalidOperationException(
                $"Controller {name} is not in this host's configuration: give all hosts the same file."
            );
        _held = new HeldController(settings, rooms.MachinesOf(settings), rooms);
        _holding = Task.Run(HoldAsync, CancellationToken.None);
        return Task.CompletedTask;
    }

    public Task<ControllerReport> ReportAsync() =>
        Task.FromResult(new ControllerReport(silo.SiloAddress, _held?.IsPolled == true));

    public Task MoveAsync(SiloAddress to)
    {
        RequestContext.Set(IPlacementDirector.PlacementHintKey, to);
        this.MigrateOnIdle();
        return Task.CompletedTask;
    }

    public override async Task OnDeactivateAsync(
        DeactivationReason reason,
        CancellationToken cancellationToken
    )
    {
        await _release.CancelAsync();
        await _holding;
        string name = this.GetPrimaryKeyString();
        logger.ControllerGivenBack(name, reason.Description);
    }

    public void Dispose()
    {
        _release.Dispose();
        _held?.Dispose();
    }

    private async Task HoldAsync()
    {
        string why;
        try
        {
            why = await _held!.HoldAsync(_release.Token);
        }
#pragma warning disable CA1031 // The roll call has it tried again, here or elsewhere.
        catch (Exception failure)
#pragma warning restore CA1031
        {
            why = failure.GetBaseException().Message;
        }
        if (_release.IsCancellationRequested)
            return;
        logger.ControllerLeft(this.GetPrimaryKeyString(), why);
        if (_held!.HeldBy is { } holder)
            context.Migrate(
                new Dictionary<string, object>
                {
                    [IPlacementDirector.PlacementHintKey] = SiloAddress.FromParsableString(holder.Run),
                }
            );
        else
            context.Deactivate(new DeactivationReason(DeactivationReasonCode.ApplicationRequested, why));
    }
}
