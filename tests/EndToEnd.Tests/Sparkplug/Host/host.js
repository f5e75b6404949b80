// A small Sparkplug host application: follows one group as Sparkplug 3.0.0 asks of a host (sections 4 to 6), with a client
// and a codec that are not ours (mqtt, sparkplug-payload). Prints each message as a line of JSON, and a line with "fault" for
// each rule of the specification that the edge node breaks.
//
//   node host.js PORT GROUP HOST     HOST is its own name, whose STATE it says
//
// Takes commands on its input, a line each: online [ms], offline [ms], rebirth N, command NAME, raw TOPIC TEXT.
"use strict";
const readline = require("readline");
const mqtt = require("mqtt");
const codec = require("sparkplug-payload").get("spBv1.0");
// Its decodePayload needs the type in every metric; the specification wants it in births only. So data goes through the same
// package's message, and the type comes from the birth, as a host must take it.
const { Payload } = require("sparkplug-payload/lib/sparkplugPayloadProto").org.eclipse.tahu.protobuf;

const [port, group, host] = process.argv.slice(2);
const stateTopic = `spBv1.0/STATE/${host}`;
const valueFields = { 3: "intValue", 4: "longValue", 10: "doubleValue", 11: "booleanValue", 12: "stringValue", 13: "longValue" };
const nodes = new Map();
let client;

const say = (line) => console.log(JSON.stringify(line));
const number = (value) => (value === null || value === undefined ? null : Number(value));

function connect() {
  const timestamp = Date.now();
  const state = (online) => JSON.stringify({ online, timestamp });
  client = mqtt.connect({
    host: "127.0.0.1", port, protocolVersion: 5, clean: true, reconnectPeriod: 0, connectTimeout: 2000,
    clientId: `host-${host}`,
    will: { topic: stateTopic, payload: state(false), qos: 1, retain: true },
  });
  client.on("error", () => {});
  client.on("connect", () => {
    client.subscribe(`spBv1.0/${group}/#`, { qos: 1 }, () => {
      client.publish(stateTopic, state(true), { qos: 1, retain: true }, () => say({ host: "online" }));
    });
  });
  client.on("message", hear);
  // A broker that is away takes nothing; another try soon.
  const gone = client;
  client.once("close", () => {
    gone.end(true);
    setTimeout(connect, 100);
  });
}

function hear(topic, bytes, packet) {
  const [, , type, edge, device] = topic.split("/");
  if (type === "NCMD" || type === "DCMD") return;
  const message = Payload.decode(bytes);
  const faults = [];
  const must = (holds, rule) => { if (!holds) faults.push(rule); };
  must(packet.retain === false, "a message is not retained");
  must(packet.qos === (type === "NDEATH" ? 1 : 0), "deaths of the node have QoS 1, all else has 0");
  must(message.hasOwnProperty("timestamp") && Math.abs(number(message.timestamp) - Date.now()) < 60_000,
    "a message bears the time it was sent");

  const node = nodes.get(edge) ?? { born: false, devices: new Map(), aliases: new Map() };
  nodes.set(edge, node);
  const told = { heard: type, edge, device: device ?? null, seq: null, metrics: {}, historical: [] };
  if (type === "NDEATH") death(node, message, must, told);
  else {
    must(message.hasOwnProperty("seq"), "a message has a sequence number");
    told.seq = number(message.seq);
    must(type === "NBIRTH" ? told.seq === 0 : told.seq === (node.seq + 1) % 256, `the sequence number after ${node.seq} is one more`);
    node.seq = told.seq;
    if (type === "NBIRTH") {
      node.aliases.clear();
      for (const one of node.devices.values()) one.born = false;
      node.dataSaid = false;
      birth(node, node, "", codec.decodePayload(bytes), message, must, told);
      const sequence = node.known.get("bdSeq");
      must(sequence?.type === 4, "bdSeq is an Int64");
      node.bdSeq = told.bdSeq = sequence?.value ?? null;
      const rebirth = node.known.get("Node Control/Rebirth");
      must(rebirth?.type === 11 && rebirth.value === false && rebirth.alias === null, "Rebirth is a Boolean, false, and has no alias");
    } else {
      must(node.born, `${type} comes after the birth of the node`);
      const one = device === undefined ? node : node.devices.get(device) ?? {};
      if (type === "DBIRTH") {
        node.devices.set(device, one);
        birth(node, one, device, codec.decodePayload(bytes), message, must, told);
      } else if (type === "DDEATH") {
        must(one.born, "a device that dies was born");
        one.born = false;
      } else data(one, node, device ?? "", message, must, told);
    }
  }
  say(told);
  for (const fault of faults) say({ fault: `${type} ${device ?? edge}: ${fault}` });
}

function birth(node, one, device, decoded, message, must, told) {
  one.born = true;
  one.known = new Map();
  message.metrics.forEach((metric, index) => {
    const name = metric.name;
    must(name && metric.datatype && metric.hasOwnProperty("timestamp"), `${name} has name, type and time`);
    must(valueFields[metric.datatype] !== undefined, `${name} has a type we know`);
    must(!one.known.has(name), `${name} stands once`);
    must(metric.isNull ? metric.value === undefined : metric.value === valueFields[metric.datatype], `${name} has a value of its type, or is null and has none`);
    // The codec's own opinion, where it has the type to form one.
    const value = decoded.metrics[index].value;
    must(decoded.metrics[index].name === name, "the codec and its message agree");
    const alias = metric.hasOwnProperty("alias") ? number(metric.alias) : null;
    if (alias !== null) {
      const other = node.aliases.get(alias);
      must(other === undefined || (other.device === device && other.name === name), `alias ${alias} stands for one metric`);
      node.aliases.set(alias, { device, name });
    }
    told.metrics[name] = typeof value === "object" ? number(value) : value;
    one.known.set(name, { type: metric.datatype, value: told.metrics[name], alias, timestamp: number(metric.timestamp) });
  });
}

function data(one, node, device, message, must, told) {
  must(one.born, "data comes after the birth");
  must(message.metrics.length > 0, "data has metrics");
  for (const metric of message.metrics) {
    const byAlias = metric.hasOwnProperty("alias");
    const named = byAlias ? node.aliases.get(number(metric.alias)) : { device, name: metric.name };
    const known = named?.device === device ? one.known?.get(named.name) : undefined;
    must(known !== undefined, `${named?.name ?? metric.alias} stood in the birth`);
    if (known === undefined) continue;
    must(byAlias === (known.alias !== null) && byAlias !== metric.hasOwnProperty("name"), `${named.name} goes by its alias alone, or by its name where it has none`);
    must(!metric.hasOwnProperty("datatype"), `${named.name} tells its type in births only`);
    must(metric.hasOwnProperty("timestamp"), `${named.name} has a time`);
    must(metric.isNull ? metric.value === undefined : metric.value === valueFields[known.type], `${named.name} has a value of its type, or is null and has none`);
    const field = metric[valueFields[known.type]];
    const value = metric.isNull ? null : typeof field === "object" ? number(field) : field;
    told.metrics[named.name] = value;
    if (metric.isHistorical) {
      told.historical.push(named.name);
      continue;
    }
    must(number(metric.timestamp) >= known.timestamp, `${named.name} is not older than what was told of it before`);
    known.timestamp = number(metric.timestamp);
    must(named.name.startsWith("event/") || known.value !== value, `${named.name} is told when it changes`);
    known.value = value;
  }
}

function death(node, message, must, told) {
  must(!message.hasOwnProperty("seq"), "the death of a node has no sequence number");
  must(message.metrics.length === 1 && message.metrics[0].name === "bdSeq", "the death of a node has bdSeq alone");
  told.bdSeq = number(message.metrics[0].longValue);
  told.counts = node.born && told.bdSeq === node.bdSeq;
  if (told.counts) {
    node.born = false;
    for (const one of node.devices.values()) one.born = false;
  }
}

function command(name) {
  const metric = { name, type: "Boolean", value: true, timestamp: Date.now() };
  for (const edge of nodes.keys())
    client.publish(`spBv1.0/${group}/NCMD/${edge}`, codec.encodePayload({ timestamp: Date.now(), metrics: [metric] }), { qos: 0 });
}

readline.createInterface({ input: process.stdin }).on("line", (line) => {
  const [word, ...rest] = line.split(" ");
  if (word === "online" || word === "offline") {
    const timestamp = Number(rest[0] ?? Date.now());
    client.publish(stateTopic, JSON.stringify({ online: word === "online", timestamp }), { qos: 1, retain: true });
  } else if (word === "rebirth") for (let i = 0; i < Number(rest[0]); i++) command("Node Control/Rebirth");
  else if (word === "command") command(rest.join(" "));
  else if (word === "raw") client.publish(rest[0], rest.slice(1).join(" "), { qos: 1 });
});

connect();
