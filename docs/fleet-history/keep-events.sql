-- DuckDB. Makes Parquet by site and day of what a reader at the centre wrote down, a line an event. What came twice is kept
-- once, by source and id. Run it again with all lines of a day and that day is written anew.
copy (
    select split_part(source, '/', 3) as area, split_part(source, '/', 4) as line, data.machine as machine,
        id, sequence, "time"::timestamp as time, data.condition as condition, data.state as state,
        data.priority as priority, data.side as side, data.fill as fill, data.margin as margin,
        data.seconds_to_limit as seconds_to_limit, data.probability as probability,
        data.cause as cause, data.cause_confidence as cause_confidence, data.evidence as evidence,
        split_part(source, '/', 2) as site, cast("time"::timestamp as date) as day
    from read_json('fleet/incoming/*.jsonl', format = 'newline_delimited', columns = {
        id: 'varchar', source: 'varchar', type: 'varchar', "time": 'varchar', sequence: 'varchar',
        data: 'struct(machine varchar, condition varchar, state varchar, priority varchar, side varchar, fill double,
            margin double, seconds_to_limit double, probability double, cause varchar, cause_confidence double,
            evidence varchar)'})
    where type like 'dancerwatch.condition.%'
    qualify row_number() over (partition by source, id order by sequence) = 1
    order by site, "time"
) to 'fleet/events' (format parquet, partition_by (site, day), overwrite_or_ignore);
