-- DuckDB, after views.sql. Margin by product, speed and shift: how much room 99 % of the running time had to either trip, % of
-- fill. Shifts here begin at 06:00, 14:00 and 22:00 UTC.
select product::int as product, 5 * floor(lineSpeed / 5)::int as speed_m_min,
    case when hour(time) between 6 and 13 then 'early' when hour(time) between 14 and 21 then 'late' else 'night' end as shift,
    count(distinct (site, machine)) as machines, round(sum(poll_s) / 3600, 1) as hours,
    round(quantile_cont(100 + overtravel - fill, 0.01), 2) as full_margin,
    round(quantile_cont(fill + overtravel, 0.01), 2) as empty_margin
from readings where running = 1
group by all having sum(poll_s) >= 1800
order by least(full_margin, empty_margin);
