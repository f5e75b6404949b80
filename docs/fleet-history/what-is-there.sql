-- DuckDB, after views.sql. What there is: readings by site, those with the machine running, and those that could not be read.
select site, count(distinct (area, machine)) as machines, count(distinct day) as days, count(*) as readings,
    count(*) filter (running = 1) as running, count(*) filter (quality = 'bad') as not_read
from read_parquet('fleet/readings/*/*/*/*/*.parquet', hive_partitioning = true, union_by_name = true,
    hive_types = {'site': varchar, 'area': varchar, 'machine': varchar, 'day': date})
group by site order by site;
