-- What the fleet's hosts keep in PostgreSQL: who belongs to them, what they remember, when they are woken.
-- Orleans asks for everything by the statements in OrleansQuery, whose keys, parameters and column names are its own
-- (providers of 10.4.2); tables and statements are ours. May be run again: tables stay, statements are renewed.

create table if not exists fleet_generation (
    cluster text primary key,
    version integer not null default 0,
    changed timestamptz not null default now()
);

create table if not exists fleet_member (
    cluster text not null references fleet_generation (cluster),
    address text not null,
    port integer not null,
    generation integer not null,
    name text not null,
    host text not null,
    status integer not null,
    proxy_port integer,
    suspicions text,
    started timestamptz not null,
    alive timestamptz not null,
    primary key (cluster, address, port, generation)
);

create table if not exists fleet_memory (
    service text not null,
    kind text not null,
    key_0 bigint not null,
    key_1 bigint not null,
    key_text text not null,
    payload bytea,
    version integer not null,
    written timestamptz not null default now(),
    primary key (service, kind, key_0, key_1, key_text)
);

create table if not exists fleet_reminder (
    service text not null,
    grain text not null,
    name text not null,
    starts timestamptz not null,
    period bigint not null,
    hash integer not null,
    version integer not null default 0,
    primary key (service, grain, name)
);

create table if not exists OrleansQuery (
    QueryKey varchar(64) primary key,
    QueryText varchar(8000) not null
);

create temporary table statement (key text, body text);

-- Members. A change counts only where nobody changed anything since it was read: the generation's version tells.

insert into statement values ('InsertMembershipVersionKey', $$
    with made as (
        insert into fleet_generation (cluster) values (@DeploymentId) on conflict do nothing returning 1
    )
    select count(*)::integer from made
$$), ('InsertMembershipKey', $$
    with turned as (
        update fleet_generation set version = version + 1, changed = now()
        where cluster = @DeploymentId and version = @Version
            and not exists (
                select 1 from fleet_member
                where cluster = @DeploymentId and address = @Address and port = @Port and generation = @Generation
            )
        returning cluster
    ), made as (
        insert into fleet_member (
            cluster, address, port, generation, name, host, status, proxy_port, started, alive
        )
        select cluster, @Address, @Port, @Generation, @SiloName, @HostName, @Status, @ProxyPort, @StartTime, @IAmAliveTime
        from turned
        returning 1
    )
    select count(*)::integer from made
$$), ('UpdateMembershipKey', $$
    with turned as (
        update fleet_generation set version = version + 1, changed = now()
        where cluster = @DeploymentId and version = @Version
            and exists (
                select 1 from fleet_member
                where cluster = @DeploymentId and address = @Address and port = @Port and generation = @Generation
            )
        returning cluster
    ), changed as (
        update fleet_member m set status = @Status, suspicions = @SuspectTimes, alive = @IAmAliveTime
        from turned
        where m.cluster = turned.cluster and address = @Address and port = @Port and generation = @Generation
        returning 1
    )
    select count(*)::integer from changed
$$), ('UpdateIAmAlivetimeKey', $$
    update fleet_member set alive = @IAmAliveTime
    where cluster = @DeploymentId and address = @Address and port = @Port and generation = @Generation
$$), ('MembershipReadRowKey', $$
    select g.cluster as DeploymentId, m.address as Address, m.port as Port, m.generation as Generation,
        m.name as SiloName, m.host as HostName, m.status as Status, m.proxy_port as ProxyPort,
        m.suspicions as SuspectTimes, m.started as StartTime, m.alive as IAmAliveTime, g.version as Version
    from fleet_generation g
    left join fleet_member m
        on m.cluster = g.cluster and m.address = @Address and m.port = @Port and m.generation = @Generation
    where g.cluster = @DeploymentId
$$), ('MembershipReadAllKey', $$
    select g.cluster as DeploymentId, m.address as Address, m.port as Port, m.generation as Generation,
        m.name as SiloName, m.host as HostName, m.status as Status, m.proxy_port as ProxyPort,
        m.suspicions as SuspectTimes, m.started as StartTime, m.alive as IAmAliveTime, g.version as Version
    from fleet_generation g
    left join fleet_member m on m.cluster = g.cluster
    where g.cluster = @DeploymentId
$$), ('DeleteMembershipTableEntriesKey', $$
    delete from fleet_member where cluster = @DeploymentId;
    delete from fleet_generation where cluster = @DeploymentId
$$), ('GatewaysQueryKey', $$
    select address as Address, proxy_port as ProxyPort, generation as Generation
    from fleet_member
    where cluster = @DeploymentId and status = @Status and proxy_port > 0
$$), ('CleanupDefunctSiloEntriesKey', $$
    delete from fleet_member where cluster = @DeploymentId and alive < @IAmAliveTime and status <> 3
$$), ('CleanupDefunctSiloEntryKey', $$
    delete from fleet_member
    where cluster = @DeploymentId and address = @Address and port = @Port and generation = @Generation
$$);

-- Memory. A write that was not made from the version that stands there answers the old version, which Orleans takes as
-- refused. The hashes that Orleans offers are not needed: the key is whole.

insert into statement values ('ReadFromStorageKey', $$
    select payload as PayloadBinary, version as Version
    from fleet_memory
    where service = @ServiceId and kind = @GrainTypeString and key_0 = @GrainIdN0 and key_1 = @GrainIdN1
        and key_text = coalesce(@GrainIdExtensionString::text, '')
$$), ('WriteToStorageKey', $$
    with renewed as (
        update fleet_memory
        set payload = @PayloadBinary, version = version + 1, written = now()
        where service = @ServiceId and kind = @GrainTypeString and key_0 = @GrainIdN0 and key_1 = @GrainIdN1
            and key_text = coalesce(@GrainIdExtensionString::text, '') and version = @GrainStateVersion::integer
        returning version
    ), made as (
        insert into fleet_memory (service, kind, key_0, key_1, key_text, payload, version)
        select @ServiceId, @GrainTypeString, @GrainIdN0, @GrainIdN1,
            coalesce(@GrainIdExtensionString::text, ''), @PayloadBinary, 1
        where @GrainStateVersion::integer is null
        on conflict do nothing
        returning version
    )
    select coalesce(
        (select version from renewed), (select version from made), @GrainStateVersion::integer
    ) as NewGrainStateVersion
$$), ('ClearStorageKey', $$
    update fleet_memory
    set payload = null, version = version + 1, written = now()
    where service = @ServiceId and kind = @GrainTypeString and key_0 = @GrainIdN0 and key_1 = @GrainIdN1
        and key_text = coalesce(@GrainIdExtensionString::text, '') and version = @GrainStateVersion::integer
    returning version as NewGrainStateVersion
$$), ('DeleteStorageKey', $$
    delete from fleet_memory
    where service = @ServiceId and kind = @GrainTypeString and key_0 = @GrainIdN0 and key_1 = @GrainIdN1
        and key_text = coalesce(@GrainIdExtensionString::text, '') and version = @GrainStateVersion::integer
    returning version + 1 as NewGrainStateVersion
$$);

-- Reminders.

insert into statement values ('UpsertReminderRowKey', $$
    insert into fleet_reminder (service, grain, name, starts, period, hash)
    values (@ServiceId, @GrainId, @ReminderName, @StartTime, @Period, @GrainHash)
    on conflict (service, grain, name) do update
    set starts = excluded.starts, period = excluded.period, hash = excluded.hash, version = fleet_reminder.version + 1
    returning version as version
$$), ('ReadReminderRowsKey', $$
    select grain as GrainId, name as ReminderName, starts as StartTime, period as Period, version as Version
    from fleet_reminder where service = @ServiceId and grain = @GrainId
$$), ('ReadReminderRowKey', $$
    select grain as GrainId, name as ReminderName, starts as StartTime, period as Period, version as Version
    from fleet_reminder where service = @ServiceId and grain = @GrainId and name = @ReminderName
$$), ('ReadRangeRows1Key', $$
    select grain as GrainId, name as ReminderName, starts as StartTime, period as Period, version as Version
    from fleet_reminder where service = @ServiceId and hash > @BeginHash and hash <= @EndHash
$$), ('ReadRangeRows2Key', $$
    select grain as GrainId, name as ReminderName, starts as StartTime, period as Period, version as Version
    from fleet_reminder where service = @ServiceId and (hash > @BeginHash or hash <= @EndHash)
$$), ('DeleteReminderRowKey', $$
    with gone as (
        delete from fleet_reminder
        where service = @ServiceId and grain = @GrainId and name = @ReminderName and version = @Version
        returning 1
    )
    select count(*)::integer from gone
$$), ('DeleteReminderRowsKey', $$
    delete from fleet_reminder where service = @ServiceId
$$);

insert into OrleansQuery (QueryKey, QueryText)
select key, body from statement
on conflict (QueryKey) do update set QueryText = excluded.QueryText;

drop table statement;
