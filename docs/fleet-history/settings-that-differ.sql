-- DuckDB, after views.sql. Which settings differ from their line's? Those of the daemon's configuration, and those that the
-- controller itself had in force last. A setting differs by more than 5 % of the line's median and six times what is usual
-- between its machines (median absolute deviation).
with in_force as (
    select site, area, line, machine, unnest(['targetFill', 'gapAtEmpty', 'gapAtFull']) as setting,
        unnest([arg_max(targetFill, time), arg_max(gapAtEmpty, time), arg_max(gapAtFull, time)]) as value
    from readings group by site, area, line, machine
), all_settings as (
    select * from settings union all select * from in_force where value is not null
), lines as (
    select site, area, line, setting, median(value) as usual, count(*) as machines
    from all_settings group by site, area, line, setting
), spread as (
    select site, area, line, setting, usual, median(abs(value - usual)) as deviation
    from all_settings join lines using (site, area, line, setting) where machines >= 3
    group by site, area, line, setting, usual
)
select site, line, machine, setting, value, usual as line_has
from all_settings join spread using (site, area, line, setting)
where abs(value - usual) > greatest(0.05 * abs(usual), 6 * deviation)
order by site, line, machine, setting;
