namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>How to get at a controller, the best first.</summary>
internal enum Way
{
    LargeConnection,
    SmallConnection,
    Unconnected,
}

/// <summary>
/// A controller left the request for a connection unanswered: some do, instead of refusing what they do not know. What it
/// leaves unanswered is not asked again: the next attempt goes the next way.
/// </summary>
/// <param name="way">What was asked for.</param>
/// <param name="timeout">How long was waited.</param>
internal sealed class UnansweredException(Way way, TimeSpan timeout)
    : LinkException(
        TagStatus.TimedOut,
        $"left the request for a {(way == Way.LargeConnection ? "large" : "small")} connection unanswered for {timeout.TotalMilliseconds:0} ms. The next attempt goes {(way == Way.LargeConnection ? "over a small one" : "without one")}. If none is answered, check its power and the cable"
    )
{
    public Way Next { get; } = way + 1;
}
