namespace Dancerwatch.Signals.Survey.Steps;

/// <summary>Why a hold that was still does not look like the place it was asked for.</summary>
public enum HoldDoubt
{
    None,

    /// <summary>By the taught set points the dancer is nearer to the other end.</summary>
    OtherEnd,

    /// <summary>It reads the same as the other end did: the dancer, or what the sensor sees of it, has not moved.</summary>
    NotMoved,

    /// <summary>It is not between the ends.</summary>
    NotBetween,

    /// <summary>The two holds half way are so far apart that they cannot be at the same mark.</summary>
    OtherMark,

    /// <summary>Every reading was the same to the last digit.</summary>
    Constant,

    /// <summary>The gap stands at the end of the sensor's range.</summary>
    OutOfRange,
}

/// <summary>
/// Looks at a hold beside what is known: set points, range, and the holds before. A doubt is a question to the person, who
/// sees where the dancer stands, and no verdict: set points taught the wrong way round look just like a wrong end.
/// </summary>
public static class HoldCheck
{
    // Ends closer than this share of the taught span are no two ends; half marks further apart are no one mark.
    private const double SameShare = 0.1;

    /// <summary>Two holds at one mark may be apart by this share of the span, by play: common practice, no source.</summary>
    private const double MarkShare = 0.05;

    public static HoldDoubt Of(HoldPlace place, Hold hold, KnownMachine known, SurveyMeasures before)
    {
        double gap = hold.Gap.Value;
        if (gap <= known.GapMinimum || gap >= known.GapMaximum)
            return HoldDoubt.OutOfRange;
        Hold? full = place == HoldPlace.Full ? null : before.Full;
        Hold? empty = place == HoldPlace.Empty ? null : before.Empty;
        HoldDoubt doubt = place is HoldPlace.Full or HoldPlace.Empty
            ? End(place, gap, known, (full ?? empty)?.Gap.Value)
            : Half(place, gap, before);
        return doubt == HoldDoubt.None && double.IsNaN(hold.Step) ? HoldDoubt.Constant : doubt;
    }

    private static HoldDoubt End(HoldPlace place, double gap, KnownMachine known, double? other)
    {
        if (Math.Abs(gap - other ?? double.NaN) < SameShare * known.LikelySpan)
            return HoldDoubt.NotMoved;
        double own = place == HoldPlace.Full ? known.GapAtFull : known.GapAtEmpty;
        double far = place == HoldPlace.Full ? known.GapAtEmpty : known.GapAtFull;
        bool isNearOther = Math.Abs(gap - far) < Math.Abs(gap - own);
        // Once one end was kept against the set points, the other must be against them as well.
        bool wasKept = other is { } kept && Math.Abs(kept - own) < Math.Abs(kept - far);
        return isNearOther != wasKept ? HoldDoubt.OtherEnd : HoldDoubt.None;
    }

    private static HoldDoubt Half(HoldPlace place, double gap, SurveyMeasures before)
    {
        if (before is not { Full: { } full, Empty: { } empty })
            return HoldDoubt.None;
        double span = full.Gap.Value - empty.Gap.Value;
        double share = (gap - empty.Gap.Value) / span;
        if (share is < SameShare or > 1 - SameShare)
            return HoldDoubt.NotBetween;
        Hold? other = place == HoldPlace.HalfFromAbove ? before.HalfFromBelow : before.HalfFromAbove;
        return Math.Abs((gap - other?.Gap.Value) ?? 0) > MarkShare * Math.Abs(span)
            ? HoldDoubt.OtherMark
            : HoldDoubt.None;
    }
}
