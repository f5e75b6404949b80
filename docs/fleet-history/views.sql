-- DuckDB. What the questions are asked of: run this first, in the directory that 'fleet' lies in (docs/fleet-history.md).

-- A daemon's configuration as it is in force: one setting of one machine a row.
create or replace view settings as
select site, area, line, machine, setting, value
from read_json('fleet/settings/*/*/settings.jsonl', format = 'newline_delimited', hive_partitioning = false, columns = {
    site: 'varchar', area: 'varchar', line: 'varchar', machine: 'varchar', setting: 'varchar', value: 'double'});

create or replace view machines as
select site, area, machine, any_value(line) as line,
    max(value) filter (setting = 'pollMilliseconds') / 1000 as poll_s,
    max(value) filter (setting = 'dancer.gapAtEmptyCounts') as gap_at_empty,
    max(value) filter (setting = 'dancer.gapAtFullCounts') as gap_at_full,
    max(value) filter (setting = 'dancer.overtravelPercent') as overtravel,
    max(value) filter (setting = 'dancer.storageMillimeters') as storage_mm
from settings group by site, area, machine;

-- Every reading that can be used, with its fill (%; straight between the two set points, as the controller has them).
create or replace view readings as
select r.site, r.area, m.line, r.machine, r.day, r.run, r.ticks_100ns, r.time,
    r.unwindSpeed, r.lineSpeed, r.running, r.fullSideTrip, r.emptySideTrip, r.rollDiameter, r.product,
    r.targetFill, r.gapAtEmpty, r.gapAtFull, m.overtravel, m.storage_mm, m.poll_s,
    100 * (r.gap - coalesce(r.gapAtEmpty, m.gap_at_empty))
        / (coalesce(r.gapAtFull, m.gap_at_full) - coalesce(r.gapAtEmpty, m.gap_at_empty)) as fill
from read_parquet('fleet/readings/*/*/*/*/*.parquet', hive_partitioning = true, union_by_name = true,
    hive_types = {'site': varchar, 'area': varchar, 'machine': varchar, 'day': date}) r
join machines m using (site, area, machine)
where r.quality <> 'bad';

-- Every event once: keep-events.sql has taken repeats out.
create or replace view events as
select * from read_parquet('fleet/events/*/*/*.parquet', hive_partitioning = true,
    hive_types = {'site': varchar, 'day': date});
