using System.Collections.Frozen;

namespace Dancerwatch.EdgeAgent.Discovery;

/// <summary>
/// Words and shortenings in the names of tags around an unwind, English with some German (common practice, no source).
/// A word that may mean two things is not here: it would make a guess look like knowledge.
/// </summary>
internal static class WordBook
{
    private static readonly FrozenDictionary<string, Sense> s_words = new (Sense Sense, string Words)[]
    {
        (Sense.Dancer, "dancer dnc dncr dan accumulator accu accum taenzer tanzer dancerarm"),
        (Sense.Gap, "gap distance dist clearance prox proximity abstand"),
        (Sense.Position, "position pos lage level lvl"),
        (Sense.Sensor, "sensor snsr sens ai ain analog raw roh rawval counts cts"),
        (Sense.Fill, "fill filling fuellung fuellstand"),
        (
            Sense.Unwind,
            "unwind unwinder unwinding unw uw unwnd unwinds unwinders payoff payout letoff abwickler abw abwickelung"
        ),
        (Sense.Roll, "roll reel spool bobbin rolle rollen spindle mandrel"),
        (Sense.Film, "film web foil folie"),
        (Sense.Line, "line lines machine machines mach draw pull puller abzug packer bagger"),
        (Sense.Speed, "speed spd vel velocity geschw geschwindigkeit"),
        (
            Sense.Command,
            "cmd command ref reference sp setpoint setpt setp target tgt demand dmd soll sollwert request req"
        ),
        (Sense.Cycle, "cycle cycles cyc takt bag bags stroke strokes pack packs"),
        (Sense.PerMinute, "bpm cpm ppm spm permin perminute pmin"),
        (Sense.Rate, "rate"),
        (Sense.Running, "running run runs laeuft inrun"),
        (Sense.Full, "full voll"),
        (Sense.Empty, "empty emp leer"),
        (Sense.SomeEnd, "high hi low lo upper lower max min hihi lolo oben unten"),
        (Sense.Trip, "trip tripped fault flt alarm alm err error stoerung interlock"),
        (Sense.Brake, "brake brk bremse"),
        (Sense.Applied, "on applied engaged apply closed active ein"),
        (Sense.Released, "released release off open lifted geloest"),
        (Sense.Pressure, "pressure press prs druck"),
        (Sense.Diameter, "diameter dia diam durchmesser"),
        (Sense.Edge, "edge kante bahnkante"),
        (Sense.Product, "product prod recipe rcp sku rezept"),
        (Sense.Derived, "filtered filt avg average mean scaled scl pct percent smoothed"),
        (
            Sense.Beside,
            "count counter cnt total tot hours hrs time timer tmr sec secs minutes delay preset pre acc msg text txt limit lim enable en ena ok ready reset rst temp temperature current amps torque tension power gain ki kp kd pid ramp accel decel jog manual man hmi sim test spare last prev previous old version index idx ptr mode state step core offset span zero scale factor tol tolerance"
        ),
        (
            Sense.Nothing,
            "status sts act actual fbk feedback fb pv val value ist istwert meas measured measurement i in input out output q di do aq iw qw x y z data tag program prog main routine task station stn unit axis drive drv motor mtr vfd servo taught teach at side the of is no nr num number id name code bit int real dint mm mpm mps mmps fpm bar psi kpa cm m s mmin mperm meter meters per mms set calc sig signal plc cfg config par param params"
        ),
    }
        .SelectMany(group => group.Words.Split(' ').Select(word => (word, group.Sense)))
        .ToFrozenDictionary(pair => pair.word, pair => pair.Sense);

    /// <summary>What a word speaks of; null for one that is not here.</summary>
    public static Sense? Of(string word) => s_words.TryGetValue(word, out Sense sense) ? sense : null;

    public static bool Knows(string word) => s_words.ContainsKey(word);
}
