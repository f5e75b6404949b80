namespace Dancerwatch.Fleet.Grains;

/// <summary>One controller, wherever in the fleet it is read. Its key is the controller's name.</summary>
[Alias("dancerwatch.controller")]
internal interface IControllerGrain : IGrainWithStringKey
{
    /// <summary>Where it is, and whether it is polled. Being asked is what brings it about.</summary>
    [Alias("report")]
    Task<ControllerReport> ReportAsync();

    /// <summary>Goes on at another host.</summary>
    [Alias("move")]
    Task MoveAsync(SiloAddress to);
}

/// <param name="Host">Where it is.</param>
/// <param name="IsPolled">False while it waits for its last holder's lease to run out.</param>
[GenerateSerializer, Alias("dancerwatch.report")]
internal sealed record ControllerReport([property: Id(0)] SiloAddress Host, [property: Id(1)] bool IsPolled);
