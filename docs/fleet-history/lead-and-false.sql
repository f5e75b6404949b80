-- DuckDB, after views.sql. Lead time and false warnings by site. A trip was warned of if, after the machine's last start, a
-- warning named its side. A warning that no trip followed within half an hour was false, or was acted upon: who mended what
-- tells; count both sides before you judge.
with edges as (
    select site, area, machine, time,
        fullSideTrip = 1 and lag(fullSideTrip, 1, 0) over w = 0 as trips_full,
        emptySideTrip = 1 and lag(emptySideTrip, 1, 0) over w = 0 as trips_empty,
        running = 1 and lag(running, 1, 0) over w = 0 as starts,
        running * poll_s / 3600 as hours
    from readings
    window w as (partition by site, area, machine order by run, ticks_100ns)
), starts as (
    select site, area, machine, time from edges where starts
), trips as (
    select e.site, e.area, e.machine, e.time, if(trips_full, 'full', 'empty') as side,
        (select max(s.time) from starts s
            where s.site = e.site and s.area = e.area and s.machine = e.machine and s.time < e.time) as started
    from edges e where trips_full or trips_empty
), warnings as (
    select * from events where condition not in ('data-lost', 'roll-ending', 'sensor-suspect')
), warned as (
    select t.site, t.machine, t.time,
        epoch(t.time - min(w.time)) as lead_s
    from trips t left join warnings w on w.site = t.site and w.area = t.area and w.machine = t.machine
        and w.side = t.side and w.state in ('raised', 'changed') and w.time > t.started and w.time < t.time
    group by t.site, t.machine, t.time
), raised as (
    select w.site, w.id, bool_or(t.time is not null) as was_followed
    from warnings w left join trips t on t.site = w.site and t.area = w.area and t.machine = w.machine
        and t.time > w.time and t.time <= w.time + interval 30 minutes
    where w.state = 'raised' group by w.site, w.id
)
select h.site, round(h.hours, 1) as running_hours, coalesce(w.trips, 0) as trips, coalesce(w.warned, 0) as warned,
    round(w.median_lead_s, 1) as median_lead_s, round(w.shortest_lead_s, 1) as shortest_lead_s,
    coalesce(r.raised, 0) as raised, coalesce(r.not_followed, 0) as not_followed,
    round(100 * coalesce(r.not_followed, 0) / h.hours, 2) as not_followed_in_100_h
from (select site, sum(hours) as hours from edges group by site) h
left join (
    select site, count(*) as trips, count(lead_s) as warned, median(lead_s) as median_lead_s,
        min(lead_s) as shortest_lead_s from warned group by site
) w using (site)
left join (
    select site, count(*) as raised, count(*) filter (not was_followed) as not_followed from raised group by site
) r using (site)
order by h.site;
