-- DuckDB, after views.sql. Which spindles see the worst out-of-round rolls? A roll whose middle is off its spindle's by e mm
-- gives film unevenly, once a turn: fill swings by e mm of film to either side, and by several times that where the roll's
-- weight turns its spindle on and back. That swing is taken by the angle of the roll, over 20 turns at a time under a Hann
-- window, so that what the machine's own cycle does falls out; of a roll, the median. Machines of a line are alike: how
-- many times its line's usual swing a spindle has tells more than the millimetres.
with moved as (
    -- Turns since the reading before: film unwound over the roll's circumference. A hole in the readings turns nothing.
    select site, line, machine, run, ticks_100ns, fill, storage_mm, rollDiameter,
        case when ticks_100ns - before <= 2 * poll_s * 1e7
            then unwindSpeed * 1000 / 60 * (ticks_100ns - before) / 1e7 / (pi() * rollDiameter) else 0 end as turn,
        (rollDiameter > diameter_before + 20)::int as is_new
    from (
        select *, lag(ticks_100ns) over w as before, lag(rollDiameter) over w as diameter_before
        from readings where running = 1 and rollDiameter > 0
        window w as (partition by site, machine, run order by ticks_100ns)
    )
), turned as (
    select site, line, machine, run, fill, storage_mm, turn,
        sum(turn) over w as turns, sum(is_new) over w as roll
    from moved
    window w as (partition by site, machine, run order by ticks_100ns)
), windowed as (
    select site, line, machine, run, roll, floor(turns / 20) as block, fill, storage_mm, turn,
        1 - cos(2 * pi() * turns / 20) as w, sin(2 * pi() * turns) as s, cos(2 * pi() * turns) as c
    from turned
), blocks as (
    select site, line, machine, run, roll,
        2 * sqrt(power(sum(w * fill * s) - sum(w * fill) * sum(w * s) / sum(w), 2)
            + power(sum(w * fill * c) - sum(w * fill) * sum(w * c) / sum(w), 2)) / sum(w)
            * any_value(storage_mm) / 100 as swing_mm
    from windowed
    group by site, line, machine, run, roll, block
    -- Whole blocks, and more than two and a half readings a turn.
    having sum(turn) > 19 and avg(turn) < 0.4
), rolls as (
    select site, line, machine, run, roll, median(swing_mm) as swing_mm
    from blocks group by site, line, machine, run, roll having count(*) >= 3
), spindles as (
    select site, line, machine, count(*) as rolls, median(swing_mm) as usual_swing_mm, max(swing_mm) as worst_swing_mm
    from rolls group by site, line, machine
)
select site, line, machine, rolls, round(usual_swing_mm, 2) as usual_swing_mm, round(worst_swing_mm, 2) as worst_swing_mm,
    round(usual_swing_mm / median(usual_swing_mm) over (partition by site, line), 2) as times_its_lines
from spindles order by times_its_lines desc;
