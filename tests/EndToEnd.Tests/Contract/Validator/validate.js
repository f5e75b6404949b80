// Judges messages by an AsyncAPI document, with libraries that are not ours: node validate.js DOCUMENT MESSAGES
//   MESSAGES: a message a line, JSON: { topic, contentType, qos, retain, payload }, payload as text.
// Output, one line of JSON: { document: [what is wrong with it], fitting: { channel: messages }, refused: [{ line, why }] }
"use strict";
const { readFileSync } = require("node:fs");
const { Parser } = require("@asyncapi/parser");
const Ajv = require("ajv/dist/2020");
const addFormats = require("ajv-formats");
const { MQTT, Mode } = require("cloudevents");

const [documentPath, messagesPath] = process.argv.slice(2);
const CloudEvent = "application/cloudevents+json";

// Every keyword must be known, and every schema valid by the schema of schemas; null beside a type is how we say unknown.
const ajv = new Ajv({ strict: true, allowUnionTypes: true, allErrors: true });
addFormats(ajv);
// Left in a payload's schema by the parser of the document.
ajv.addVocabulary(["x-parser-schema-id", "x-parser-unique-object-id"]);

function channelsOf(document) {
  return document.channels().all().map((channel) => {
    const levels = channel.address().split("/");
    const operation = channel.operations().all()[0];
    return {
      name: channel.id(),
      // A prefix may have several levels; everything else has one.
      topic: new RegExp(
        "^" + levels.map((level) => (level === "{prefix}" ? ".+" : level.startsWith("{") ? "[^/]+" : level)).join("/") + "$",
      ),
      parameters: levels.filter((level) => level.startsWith("{")).length,
      binding: operation.bindings().get("mqtt").value(),
      messages: channel.messages().all().map((message) => ({
        contentType: message.contentType(),
        validate: ajv.compile(message.payload().json()),
      })),
    };
  });
}

// What is wrong with a message; nothing where it fits.
function judge(message, channels) {
  // The channel with fewer parameters says more of the topic.
  const channel = channels
    .filter((candidate) => candidate.topic.test(message.topic))
    .sort((one, other) => one.parameters - other.parameters)[0];
  if (!channel) return { why: [`no channel has the topic ${message.topic}`] };
  const why = [];
  for (const property of ["qos", "retain"])
    if (message[property] !== channel.binding[property])
      why.push(`${property} is ${message[property]}, not ${channel.binding[property]}`);
  const kind = channel.messages.find((candidate) => candidate.contentType === message.contentType);
  if (!kind) return { channel, why: [...why, `the content type ${message.contentType} is not the channel's`] };
  let payload;
  try {
    payload = JSON.parse(message.payload);
  } catch (error) {
    return { channel, why: [...why, `not JSON: ${error.message}`] };
  }
  if (!kind.validate(payload)) why.push(...kind.validate.errors.map((e) => `${e.instancePath || "/"} ${e.message}`));
  if (kind.contentType === CloudEvent) why.push(...judgeEvent(message));
  return { channel, why };
}

// As the CloudEvents project's own SDK reads it from MQTT.
function judgeEvent(message) {
  const binding = { headers: {}, PUBLISH: { "Content Type": message.contentType }, payload: message.payload, body: message.payload };
  try {
    MQTT.toEvent(binding, true).validate();
    return [];
  } catch (error) {
    return [`CloudEvents: ${error.message}`];
  }
}

async function main() {
  const source = require("node:path").resolve(documentPath);
  const { document, diagnostics } = await new Parser().parse(readFileSync(source, "utf8"), { source });
  const result = {
    document: diagnostics.filter((d) => d.severity <= 1).map((d) => `${d.path.join(".")}: ${d.message}`),
    fitting: {},
    refused: [],
  };
  if (document) {
    const channels = channelsOf(document);
    const lines = readFileSync(messagesPath, "utf8").trimEnd().split("\n");
    lines.forEach((line, index) => {
      const { channel, why } = judge(JSON.parse(line), channels);
      if (why.length > 0) result.refused.push({ line: index + 1, why: why.join("; ") });
      else result.fitting[channel.name] = (result.fitting[channel.name] ?? 0) + 1;
    });
  }
  console.log(JSON.stringify(result));
}

main();
