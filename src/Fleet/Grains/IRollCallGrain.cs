namespace Dancerwatch.Fleet.Grains;

/// <summary>The one place in a fleet that sees to it that every controller is read somewhere, and evenly.</summary>
[Alias("dancerwatch.roll-call")]
internal interface IRollCallGrain : IGrainWithStringKey
{
    /// <summary>Sees to it that the roll is called, at once where the hosts have changed.</summary>
    [Alias("call")]
    Task CallAsync(bool atOnce);
}
