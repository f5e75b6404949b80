namespace Dancerwatch.Signals.Fill;

/// <summary>An end of the dancer's travel. On the full side the unwind slows and the brake holds; on the empty side the unwind runs fastest.</summary>
public enum Side
{
    None,
    Full,
    Empty,
}
