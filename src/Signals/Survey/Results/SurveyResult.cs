using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.Signals.Survey.Results;

/// <summary>What a survey found. Computed anew from the measures, by nothing else; NaN and unknown where a step is missing.</summary>
public sealed record SurveyResult
{
    /// <summary>Gap with the dancer at full and at empty, in the gap's unit; half the play counts as uncertainty.</summary>
    public Uncertain GapAtFull { get; private init; } = Uncertain.Unknown;

    /// <inheritdoc cref="GapAtFull"/>
    public Uncertain GapAtEmpty { get; private init; } = Uncertain.Unknown;

    /// <summary>Gap at full less gap at empty; below 0 where the gap shrinks as the accumulator fills.</summary>
    public Uncertain Span { get; private init; } = Uncertain.Unknown;

    /// <summary>The taught set points tell full from empty the wrong way round.</summary>
    public bool IsSwapped { get; private init; }

    /// <summary>Film came in while the gap went from full to empty: the holds were given the wrong names.</summary>
    public bool HoldsAreSwapped { get; private init; }

    /// <summary>Counts for 1 % of fill, and for 1 mm of film.</summary>
    public Uncertain CountsPerPercent { get; private init; } = Uncertain.Unknown;

    /// <inheritdoc cref="CountsPerPercent"/>
    public Uncertain CountsPerMillimeter { get; private init; } = Uncertain.Unknown;

    /// <summary>Smallest step seen, and noise at rest (standard deviation), in the gap's unit.</summary>
    public double Step { get; private init; } = double.NaN;

    /// <inheritdoc cref="Step"/>
    public double Noise { get; private init; } = double.NaN;

    public CamShape Cam { get; private init; } = CamShape.Straight;

    /// <summary>Film stored between empty and full, mm.</summary>
    public Uncertain Storage => Cam.Storage;

    /// <summary>Smallest gap left above the sensor's lowest, in the gap's unit; NaN without a travel.</summary>
    public double Clearance { get; private init; } = double.NaN;

    /// <summary>The same, % of the span.</summary>
    public double ClearancePercent { get; private init; } = double.NaN;

    /// <summary>End at which that is.</summary>
    public Side NearestSide { get; private init; }

    /// <summary>The gap stood still while film moved the dancer, or reached its lowest: face and cam meet.</summary>
    public bool Touches { get; private init; }

    /// <summary>The gap stood at its largest while film moved the dancer: it is out of the sensor's sight there.</summary>
    public bool IsBlind { get; private init; }

    /// <summary>Gap from below less gap from above at the same mark, without sign, % of the span.</summary>
    public Uncertain Play { get; private init; } = Uncertain.Unknown;

    public BrakeFinding Brake { get; private init; } = BrakeFinding.Unknown;

    /// <summary>Fill's swing within a machine cycle, %, and mm of film.</summary>
    public Uncertain Swing { get; private init; } = Uncertain.Unknown;

    /// <inheritdoc cref="Swing"/>
    public Uncertain SwingMillimeters { get; private init; } = Uncertain.Unknown;

    /// <summary>Film a machine cycle takes, mm.</summary>
    public double CycleMillimeters { get; private init; } = double.NaN;

    /// <summary>Fill's middle while running, %.</summary>
    public double RunningFill { get; private init; } = double.NaN;

    /// <summary>Fill gained after the machine drew no more, % and mm.</summary>
    public double OverrunPercent { get; private init; } = double.NaN;

    /// <inheritdoc cref="OverrunPercent"/>
    public double OverrunMillimeters { get; private init; } = double.NaN;

    /// <summary>Unwind speed and what was asked of it with the dancer near full, m/min.</summary>
    public (double Speed, double Asked) UnwindAtFull { get; private init; } = (double.NaN, double.NaN);

    /// <summary>Likewise near empty: the highest.</summary>
    public (double Speed, double Asked) UnwindAtEmpty { get; private init; } = (double.NaN, double.NaN);

    public TargetAdvice Target { get; private init; } = TargetAdvice.Unknown;

    /// <summary>True fill, %, of a gap.</summary>
    public double FillOf(double gap) =>
        Cam.TruePercent(100 * (gap - GapAtEmpty.Value) / (GapAtFull.Value - GapAtEmpty.Value));

    /// <summary>What the measures say.</summary>
    public static SurveyResult Of(SurveyMeasures measures, KnownMachine known)
    {
        SurveyResult result = OfHolds(measures, known);
        if (measures.Travel is { } travel)
            result = result.OfTravel(travel, known);
        return result.OfMotion(measures, known);
    }

    private static SurveyResult OfHolds(SurveyMeasures measures, KnownMachine known)
    {
        Uncertain play = measures is { HalfFromBelow: { } below, HalfFromAbove: { } above }
            ? below.Gap.Less(above.Gap)
            : Uncertain.Unknown;
        // The ends are approached from one side each: the middle of the play is half of it away at most. A hand hides some.
        double hidden = TremblePercent / 100 * known.LikelySpan;
        double half = Coverage.Normal / Coverage.Rectangular * (Math.Abs(play.Value) + hidden) / 2;
        half = double.IsFinite(half) ? half : 0;
        Uncertain full = measures.Full?.Gap.With(half) ?? Uncertain.Unknown;
        Uncertain empty = measures.Empty?.Gap.With(half) ?? Uncertain.Unknown;
        Uncertain span = full.Less(empty);
        Hold[] holds =
        [
            .. new[]
            {
                measures.Full,
                measures.HalfFromAbove,
                measures.Empty,
                measures.HalfFromBelow,
            }.OfType<Hold>(),
        ];
        return new SurveyResult
        {
            GapAtFull = full,
            GapAtEmpty = empty,
            Span = span,
            IsSwapped = span.Value * (known.GapAtFull - known.GapAtEmpty) < 0,
            CountsPerPercent = new(Math.Abs(span.Value) / 100, span.Plus / 100),
            Step = holds.Select(hold => hold.Step).Where(double.IsFinite).DefaultIfEmpty(double.NaN).Min(),
            Noise = holds.Select(hold => hold.Noise).DefaultIfEmpty(double.NaN).Average(),
            Play = new Uncertain(
                100 * Math.Abs(play.Value / span.Value),
                100 * Math.Abs(play.Plus / span.Value)
            ).With(TremblePercent),
        };
    }

    private SurveyResult OfTravel(Travel travel, KnownMachine known)
    {
        double empty = GapAtEmpty.Value;
        double full = GapAtFull.Value;
        CamShape cam = CamShape.Of(travel.Up, empty, full);
        double clearance = travel.LowestGap - known.GapMinimum;
        return this with
        {
            Cam = cam,
            HoldsAreSwapped = travel.FilmAgainstHolds,
            CountsPerMillimeter = new Uncertain(Math.Abs(Span.Value), Span.Plus).Over(cam.Storage),
            Clearance = clearance,
            ClearancePercent = 100 * clearance / Math.Abs(Span.Value),
            NearestSide = full < empty ? Side.Full : Side.Empty,
            Touches = travel.PinnedLowShare > PinnedShare || clearance < known.GapStep,
            IsBlind = travel.PinnedHighShare > PinnedShare,
        };
    }

    private SurveyResult OfMotion(SurveyMeasures measures, KnownMachine known)
    {
        BrakeFinding brake = BrakeSearch.Of(measures, FillOf);
        SurveyResult result = this with
        {
            Brake = brake,
            UnwindAtFull = NearFull(measures.FromFull),
            UnwindAtEmpty = NearEmpty(measures.FromEmpty),
        };
        if (measures.Stop is { } stop)
        {
            double highest = Math.Max(FillOf(stop.Lowest), FillOf(stop.Highest));
            result = result with
            {
                OverrunPercent = highest - FillOf(stop.AtStand),
                OverrunMillimeters = (highest - FillOf(stop.AtStand)) / 100 * Storage.Value,
            };
        }
        return measures.Run is { } run ? result.OfRun(run, measures.Stop, known) : result;
    }

    private SurveyResult OfRun(Run run, Stop? stop, KnownMachine known)
    {
        // Percent of fill for a count where the film runs.
        double slope = Math.Abs(FillOf(run.CycleHighest) - FillOf(run.CycleLowest)) / run.CycleSwing.Value;
        Uncertain swing = run.CycleSwing.Times(slope);
        // Relative to the span, and to the shape of the cam, of which the scatter tells.
        double relative = Math.Abs(Span.Plus / Span.Value);
        swing = swing
            .With(swing.Value * relative)
            .With(swing.Value * WaveShare * Coverage.Normal / Coverage.Rectangular);
        // At each turn the dancer first takes up the play, and the sensor does not see it.
        if (Play.IsKnown)
            swing = new Uncertain(swing.Value + Play.Value, swing.Plus).With(Play.Plus);
        double middle = FillOf(run.P50);
        double one = FillOf(run.P01) - middle;
        double other = FillOf(run.P99) - middle;
        double stopRise = stop is null
            ? double.NaN
            : Math.Max(FillOf(stop.Lowest), FillOf(stop.Highest)) - FillOf(stop.Before);
        return this with
        {
            Swing = swing,
            SwingMillimeters = swing.Times(0.01).Product(Storage),
            CycleMillimeters = run.LineSpeed * 1000 / 60 / run.CycleHertz,
            RunningFill = middle,
            Target = TargetAdvice.Of(
                Math.Max(one, other),
                -Math.Min(one, other),
                run.TailPlus / CountsPerPercent.Value,
                stopRise,
                Brake.Side == BrakeSide.Full
                    ? double.IsNaN(Brake.BearsFrom.Value)
                        ? Brake.LetsGoAt.Value
                        : Brake.BearsFrom.Value
                    : double.NaN,
                known.OvertravelPercent
            ),
        };
    }

    /// <summary>
    /// What a few harmonics, and scans that are older than their read, leave of a swing's corners: a rectangle of this share,
    /// as seen on virtual machines.
    /// </summary>
    private const double WaveShare = 0.01;

    /// <summary>Play that a trembling hand takes up, and so hides, % of the span: common practice, no source.</summary>
    private const double TremblePercent = 0.1;

    /// <summary>Film moves the dancer this much of its way without moving the gap: common practice, no source.</summary>
    private const double PinnedShare = 0.02;

    private const double NearPercent = 5;

    private (double, double) NearFull(Start? start)
    {
        Block[] near = [.. (start?.Blocks ?? []).Where(block => FillOf(block.Gap) > 100 - NearPercent)];
        return near.Length == 0
            ? (double.NaN, double.NaN)
            : (near.Average(block => block.UnwindSpeed), near.Average(block => block.UnwindCommand));
    }

    private (double, double) NearEmpty(Start? start)
    {
        Block[] near = [.. (start?.Blocks ?? []).Where(block => FillOf(block.Gap) < 2 * NearPercent)];
        return near.Length == 0
            ? (double.NaN, double.NaN)
            : (near.Max(block => block.UnwindSpeed), near.Max(block => block.UnwindCommand));
    }
}
