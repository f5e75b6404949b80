// Reads tags of a controller with a client library that is not ours, and prints what it got as one line of JSON.
// Usage: node read.js HOST PORT connected|unconnected TAG...
//   TAG is a name, optionally followed by '*' and a number of elements: 'Weights*40'. 'Program:Main.Tag' names a program's.
// Output: { "product", "browsed": [name], "tags": { tag: value }, "types": { tag: type }, "errors": { tag: general status },
//   "packed": { tag: value as read in packets } }; LINT as text.
"use strict";

// The library knows no other port than the registered one, and reads it from here at each connect.
const config = require("st-ethernet-ip/dist/config");
const { Controller, Structure, Tag, TagGroup } = require("st-ethernet-ip");

function toPlain(value) {
  if (typeof value === "bigint") return value.toString();
  if (Array.isArray(value)) return value.map(toPlain);
  if (Buffer.isBuffer(value)) return value.toString("hex");
  if (value !== null && typeof value === "object")
    return Object.fromEntries(Object.entries(value).map(([key, member]) => [key, toPlain(member)]));
  return value;
}

// The library carries an LREAL but does not decode it.
class AnyTag extends Tag {
  parseReadMessageResponseValueForAtomic(data) {
    if (this.type === "LREAL") this.controller_value = data.readDoubleLE(2);
    else super.parseReadMessageResponseValueForAtomic(data);
  }
}

function makeTag(controller, spec) {
  const [fullName, size] = spec.split("*");
  const scoped = /^Program:([^.]+)\.(.+)$/.exec(fullName);
  const program = scoped ? scoped[1] : null;
  const name = scoped ? scoped[2] : fullName;
  const count = size ? Number(size) : 1;
  return controller.state.tagList.getTemplateByTag(name, program)
    ? new Structure(name, controller.state.tagList, program)
    : new AnyTag(name, program, null, 0, size ? 1 : 0, count);
}

async function main([host, port, messaging, ...specs]) {
  config.EIP_PORT = Number(port);
  const controller = new Controller(messaging === "connected");
  await controller.connect(host, 0);

  const result = { tags: {}, types: {}, errors: {}, browsed: [], product: controller.properties.name };
  result.browsed = controller.state.tagList.tags.map((tag) =>
    tag.program ? `Program:${tag.program}.${tag.name}` : tag.name,
  );

  for (const spec of specs) {
    const tag = makeTag(controller, spec);
    try {
      await controller.readTag(tag);
      result.tags[spec] = toPlain(tag.value);
      result.types[spec] = tag.type;
    } catch (error) {
      result.errors[spec] = error.generalStatusCode ?? String(error);
    }
  }

  // The same again in packets: what goes wrong in one is told by the library for the packet as a whole.
  const group = new TagGroup();
  const grouped = specs.filter((spec) => !(spec in result.errors)).map((spec) => [spec, makeTag(controller, spec)]);
  for (const [, tag] of grouped) group.add(tag);
  await controller.readTagGroup(group);
  result.packed = Object.fromEntries(grouped.map(([spec, tag]) => [spec, toPlain(tag.value)]));

  await controller.disconnect();
  return result;
}

main(process.argv.slice(2)).then(
  (result) => {
    console.log(JSON.stringify(result));
    process.exit(0);
  },
  (error) => {
    console.error(error);
    process.exit(1);
  },
);
