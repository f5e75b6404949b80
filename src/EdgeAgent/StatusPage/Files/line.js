// The line of machines: each with its travel, what it does, and the most urgent warning.
const rows = new Map();
function row(name) {
  const link = element("a");
  link.href = "/machine/" + encodeURIComponent(name);
  if (name === chosen) link.setAttribute("aria-current", "page");
  const parts = { link, marked: element("span", "marked"), name: element("strong", "", name), what: element("span", "what"),
    travel: element("span", "travel"), used: element("i", "used"), aim: element("i", "aim"), now: element("i", "now"),
    warned: element("span", "warned"), words: element("span", "visually-hidden") };
  parts.travel.setAttribute("aria-hidden", "true");
  parts.travel.append(parts.used, parts.aim, parts.now);
  link.append(parts.marked, parts.name, parts.what, parts.travel, parts.warned, parts.words);
  parts.item = element("li", "", link);
  return parts;
}
function write(place, text) { if (place.textContent !== text) place.textContent = text; }
function showLine(machines, now) {
  const list = $("machines");
  for (const name of [...rows.keys()])
    if (!machines.some(one => one.machine === name)) { rows.get(name).item.remove(); rows.delete(name); }
  for (const one of machines) {
    let parts = rows.get(one.machine);
    if (!parts) { parts = row(one.machine); rows.set(one.machine, parts); list.append(parts.item); }
    const dead = !known(one.ts) || now - one.ts > 3000 || one.quality === "bad";
    const part = value => known(value) ? Math.min(100, Math.max(0, 100 * (value - one.empty_trip) / (one.full_trip - one.empty_trip))) : null;
    const place = (stroke, value) => { stroke.hidden = value === null; if (value !== null) stroke.style.left = value + "%"; };
    const [from, to] = [part(one.p01), part(one.p99)];
    place(parts.used, dead ? null : from);
    if (from !== null) parts.used.style.width = (to - from) + "%";
    place(parts.now, dead ? null : part(one.fill));
    place(parts.aim, part(one.target));
    write(parts.what, dead ? "not read" : doing(one));
    parts.what.classList.toggle("bad", dead || one.regime === "tripped");
    if (parts.priority !== one.priority) {
      parts.priority = one.priority;
      parts.marked.replaceChildren(...(one.priority ? [mark(one.priority)] : []));
    }
    write(parts.warned, !one.priority ? "" : one.condition + (one.side ? `, ${one.side} side` : "") + (one.raised > 1 ? `, ${one.raised - 1} more` : ""));
    write(parts.words, (one.priority ? `, ${one.priority} priority` : ", no warning")
      + (known(one.fill) && !dead ? `, fill ${Math.round(one.fill)} %` : ""));
  }
}
