// One machine: warnings, fill, margins, spectrum, roll and data.
const approaches = ["limit-approach", "trip-likely", "margin-low"];
const isWarnedOf = (machine, side) => machine.warnings.some(one => approaches.includes(one.condition) && one.side === side);

function warning(one) {
  const until = known(one.cleared) ? ` to ${clock.format(one.cleared)}` : "";
  const head = element("p", "", element("strong", "", one.condition),
    `: ${one.priority} priority${one.side ? `, ${one.side} side` : ""}, ${until ? "" : "since "}${clock.format(one.since)}${until}`);
  const words = element("div", "", head, element("p", "", one.evidence));
  if (one.causes.length)
    words.append(element("p", "", "Likely: " + one.causes.map(c => `${c.cause} (${Math.round(100 * c.confidence)} %)`).join(", then ") + "."));
  if (one.check) words.append(element("p", "", one.check));
  return element("li", one.priority, mark(one.priority), words);
}
const shown = {};
function showList(id, warnings, none) {
  const text = JSON.stringify(warnings);
  if (text === shown[id]) return;
  shown[id] = text;
  $(id).replaceChildren(...(warnings.length ? warnings.map(warning) : none ? [element("li", "none", none)] : []));
}
// A trip clears every warning; who comes because of it wants to see what was warned of before.
const pastMinutes = 15;
let said = "";
function showWarnings({ machine, warnings, past }, now) {
  showList("warning-list", warnings, "None is raised.");
  const lately = past.filter(one => now - one.cleared < pastMinutes * 60_000).slice(0, 3);
  $("past").hidden = lately.length === 0;
  showList("past-list", lately, "");
  const summary = warnings.map(one => `${one.condition} ${one.priority} ${one.side ?? ""}`).join("; ");
  if (summary !== said) { said = summary; say("said", `${machine}: ${summary || "no warning"}`); }
}
function showFacts(facts) {
  const list = $("facts");
  const terms = facts.flatMap(([term, value, bad]) => [element("dt", "", term), element("dd", bad ? "bad" : "", value)]);
  if ([...list.children].map(child => child.textContent).join() !== terms.map(term => term.textContent).join()) list.replaceChildren(...terms);
}
function showMargins(machine) {
  for (const side of ["full", "empty"]) {
    say(`${side}-margin`, number(machine[`${side}_margin`], 1));
    say(`${side}-mm`, number(machine[`${side}_margin_mm`], 0));
    $(`${side}-row`).classList.toggle("bad", isWarnedOf(machine, side));
  }
  for (const span of ["minute", "quarter", "shift"]) {
    say(`${span}-most`, range(machine[span].p01, machine[span].p99));
    say(`${span}-half`, range(machine[span].p25, machine[span].p75));
  }
  // Further ahead it is a drift as any machine has.
  const soon = machine.side && known(machine.seconds_to_limit) && machine.seconds_to_limit < 300;
  const likely = known(machine.probability_5min) ? `A trip${machine.likely_side ? ` past ${machine.likely_side}` : ""} within 5 min: ${Math.round(100 * machine.probability_5min)} %.` : "";
  say("ahead", machine.regime !== "running" ? "Margins and forecasts are of running only."
    : soon ? `At the rate of this moment it would trip past ${machine.side} in ${lasting(machine.seconds_to_limit)}.`
    : likely || "Too little was read yet to say what comes.");
  $("ahead").classList.toggle("bad", Boolean(soon) && isWarnedOf(machine, machine.side));
}
function showSpectrum({ spectrum, regime }) {
  const lines = spectrum.lines, runs = regime === "running";
  spectrumData = lines ? [lines.map((_, k) => k * spectrum.step_hz), lines] : [[], []];
  const told = peaks().map((peak, i) =>
    `${i + 1}: ${peak.hz.toFixed(2)} Hz, ${peak.percent.toFixed(1)} % either way${runs ? `: ${whatTurns(peak.hz)}` : ""}`);
  say("spectrum-words", !lines ? "It takes half a minute of readings." : (told.length ? told.join(". ") + "." : "Nothing moves regularly.")
    + (runs ? "" : " What turns at which rate is told while the machine runs."));
}
function open() {
  $("detail").hidden = $("skip").hidden = false;
  $("key").hidden = true;
  document.body.classList.add("with-machine");
}
function showMachine(machine, trace, now) {
  open();
  say("title", machine.machine);
  document.title = `${machine.machine} – Dancerwatch`;
  showWarnings(machine, now);
  if (!known(machine.ts)) { say("state", "No good reading yet."); return; }
  last = machine;
  if (trace.anew) { times.length = 0; fills.length = 0; }
  for (let i = 0; i < trace.time.length; i++) { times.push(trace.time[i] / 1000); fills.push(trace.fill[i]); }
  const old = times.findIndex(time => time >= now / 1000 - 60 * minutes - 5);
  if (old > 500) { times.splice(0, old); fills.splice(0, old); }
  const age = (now - machine.ts) / 1000;
  say("state", `${machine.line} · ${doing(machine)} for ${lasting(machine.regime_seconds ?? 0)}`);
  $("state").classList.toggle("bad", machine.regime === "tripped");
  showMargins(machine);
  say("fill-words", `Fill is ${number(machine.fill, 0, "%")}, its target ${number(machine.target, 0, "%")}. Shaded: the last minute's band, nearly all of it and its middle half. Dashed to a dot: where it is heading.`);
  showSpectrum(machine);
  const good = machine.quality === "good" && age < 3;
  showFacts([
    ["film left", known(machine.film_left_m) ? `${Math.round(machine.film_left_m)} m, ${number(machine.minutes_left, 0, "min")}` : "–"],
    ["roll diameter", number(machine.diameter_mm, 0, "mm")],
    ["swing in a cycle", number(machine.cycle_swing, 1, "%")],
    ["readings", age > 3 ? `none for ${lasting(age)}` : { good: "good", partial: "an optional tag is not read", bad: "gap or unwind speed is not read" }[machine.quality], !good],
    ...(machine.fault ? [["gap", machine.fault, true]] : []),
  ]);
  makeCharts();
  fillChart.setData([times, fills]);
  spectrumChart.setData(spectrumData);
}
