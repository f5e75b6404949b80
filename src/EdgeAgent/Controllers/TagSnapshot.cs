namespace Dancerwatch.EdgeAgent.Controllers;

/// <summary>What became of the read of one tag.</summary>
public enum TagStatus
{
    /// <summary>Not read: the connection is down or the cycle was given up before its turn.</summary>
    NotRead,
    Good,

    /// <summary>The controller does not know the name.</summary>
    NoSuchTag,

    /// <summary>The controller's type is not the configured one.</summary>
    WrongType,

    /// <summary>The controller forbids reading it.</summary>
    Forbidden,

    /// <summary>The controller answered with another error.</summary>
    ControllerError,

    /// <summary>No answer in time.</summary>
    TimedOut,

    /// <summary>The answer could not be decoded.</summary>
    Garbled,
}

/// <summary>
/// All tags of one controller as of one poll, in the order of the requests. Reused from poll to poll; owned by the poll
/// loop, and read by the watches before the next poll starts.
/// </summary>
public sealed class TagSnapshot(int tagCount)
{
    /// <summary>Mid-flight time: halfway between sending the request and having the answer, monotonic ticks of 100 ns.</summary>
    public long Ticks { get; set; }

    /// <summary>Value of each tag as a number (BOOL as 0 or 1; STRING as NaN); NaN where the status is not good.</summary>
    public double[] Numbers { get; } = new double[tagCount];

    /// <summary>Text of each STRING tag; null otherwise. The same instance while the text does not change.</summary>
    public string?[] Texts { get; } = new string?[tagCount];
    public TagStatus[] Statuses { get; } = new TagStatus[tagCount];

    /// <summary>Marks every tag as not usable, for a poll that failed as a whole.</summary>
    public void Fail(long ticks, TagStatus status)
    {
        Ticks = ticks;
        Array.Fill(Numbers, double.NaN);
        Array.Fill(Texts, null);
        Array.Fill(Statuses, status);
    }

    /// <summary>Takes over everything from another snapshot of the same tags.</summary>
    public void CopyFrom(TagSnapshot other)
    {
        Ticks = other.Ticks;
        other.Numbers.CopyTo(Numbers, 0);
        other.Texts.CopyTo(Texts, 0);
        other.Statuses.CopyTo(Statuses, 0);
    }
}
