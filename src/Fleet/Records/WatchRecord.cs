namespace Dancerwatch.Fleet.Records;

/// <summary>Who reads a controller, and what was told of its machines.</summary>
[GenerateSerializer, Alias("dancerwatch.watch")]
internal sealed class WatchRecord
{
    /// <summary>Who may read it; null: nobody does.</summary>
    [Id(0)]
    public Holder? Holder { get; set; }

    /// <summary>Number of the last event told.</summary>
    [Id(1)]
    public long LastNumber { get; set; }

    /// <summary>Of each condition of each machine what was told last, and what the broker may not have yet; in order.</summary>
    [Id(2)]
    public List<ToldEvent> Told { get; set; } = [];
}

/// <summary>One run of the program on one host.</summary>
[GenerateSerializer, Alias("dancerwatch.holder")]
internal sealed record Holder([property: Id(0)] string Host, [property: Id(1)] string Run);

/// <summary>An event as it is told.</summary>
[GenerateSerializer, Alias("dancerwatch.told")]
internal sealed class ToldEvent
{
    /// <summary>Its place among those of its controller.</summary>
    [Id(0)]
    public long Number { get; set; }

    /// <summary><c>machine:condition:onset:step</c>.</summary>
    [Id(1)]
    public string Id { get; set; } = "";

    /// <summary><c>/site/area/line/machine</c>.</summary>
    [Id(2)]
    public string Source { get; set; } = "";

    /// <summary>The event, encoded.</summary>
    [Id(3)]
    public byte[] Payload { get; set; } = [];

    /// <summary>Whether the broker is known to have it.</summary>
    [Id(4)]
    public bool IsDelivered { get; set; }

    /// <summary>Machine and condition: the id without onset and step.</summary>
    public string Subject => Id[..Id.LastIndexOf(':', Id.LastIndexOf(':') - 1)];
}
