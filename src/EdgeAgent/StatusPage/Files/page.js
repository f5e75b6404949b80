"use strict";
// Shows what the events say, once a second. It asks for nothing else and sends nothing.
(() => {
  const $ = id => document.getElementById(id);
  const chosen = location.pathname.startsWith("/machine/") ? decodeURIComponent(location.pathname.slice(9)) : "";
  const style = getComputedStyle(document.documentElement);
  const colour = name => style.getPropertyValue(name).trim();
  const ink = colour("--ink"), soft = colour("--soft"), high = colour("--high");
  const grid = { stroke: "#b4b6b1", width: 1 };
  const minutes = 5, ahead = 60;
  const known = value => value !== null && value !== undefined;
  const number = (value, digits, unit) => known(value) ? value.toFixed(digits) + (unit ? " " + unit : "") : "–";

  function element(tag, name, text) {
    const made = document.createElement(tag);
    if (name) made.className = name;
    if (known(text)) made.textContent = text;
    return made;
  }
  function say(id, text) { if ($(id).textContent !== text) $(id).textContent = text; }
  function lasting(seconds) {
    if (seconds < 100) return Math.round(seconds) + " s";
    return seconds < 5940 ? Math.round(seconds / 60) + " min" : (seconds / 3600).toFixed(1) + " h";
  }
  function mark(priority) {
    const made = element("span", "mark " + priority, priority[0].toUpperCase());
    made.setAttribute("aria-hidden", "true");
    return made;
  }

  // ---- the line of machines
  const rows = new Map();
  function row(name) {
    const link = element("a");
    link.href = "/machine/" + encodeURIComponent(name);
    if (name === chosen) link.setAttribute("aria-current", "page");
    const parts = { link, marked: element("span", "marked"), name: element("strong", "", name), what: element("span", "what"),
      travel: element("span", "travel"), used: element("i", "used"), aim: element("i", "aim"), now: element("i", "now"),
      words: element("span", "visually-hidden") };
    parts.travel.setAttribute("aria-hidden", "true");
    parts.travel.append(parts.used, parts.aim, parts.now);
    link.append(parts.marked, parts.name, parts.what, parts.travel, parts.words);
    const item = element("li");
    item.append(link);
    parts.item = item;
    return parts;
  }
  function showLine(machines, now) {
    const list = $("machines");
    for (const name of [...rows.keys()])
      if (!machines.some(one => one.machine === name)) { rows.get(name).item.remove(); rows.delete(name); }
    for (const one of machines) {
      let parts = rows.get(one.machine);
      if (!parts) { parts = row(one.machine); rows.set(one.machine, parts); list.append(parts.item); }
      const dead = !known(one.ts) || now - one.ts > 3000 || one.quality === "bad";
      const part = value => known(value) ? Math.min(100, Math.max(0, 100 * (value - one.empty_trip) / (one.full_trip - one.empty_trip))) : null;
      const place = (element, value) => { element.hidden = value === null; if (value !== null) element.style.left = value + "%"; };
      const [from, to] = [part(one.p01), part(one.p99)];
      place(parts.used, dead ? null : from);
      if (from !== null) parts.used.style.width = (to - from) + "%";
      place(parts.now, dead ? null : part(one.fill));
      place(parts.aim, part(one.target));
      const word = dead ? "not read" : one.regime;
      if (parts.what.textContent !== word) parts.what.textContent = word;
      parts.what.classList.toggle("bad", dead || one.regime === "tripped");
      if (parts.priority !== one.priority) {
        parts.priority = one.priority;
        parts.marked.replaceChildren(...(one.priority ? [mark(one.priority)] : []));
      }
      const words = (one.priority ? `, ${one.raised} warnings, the highest of ${one.priority} priority` : ", no warning")
        + (known(one.fill) && !dead ? `, fill ${Math.round(one.fill)} %` : "");
      if (parts.words.textContent !== words) parts.words.textContent = words;
    }
  }

  // ---- one machine
  let fillChart, spectrumChart, times = [], fills = [], last, spectrumData = [[], []];
  const size = place => ({ width: place.clientWidth - 2, height: place.clientHeight - 2 });
  const clock = new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit", second: "2-digit" });

  function levelAt(u, value, dash, text, tone, width) {
    if (!known(value)) return;
    const { ctx, bbox } = u, y = u.valToPos(value, "y", true), r = devicePixelRatio;
    ctx.save();
    ctx.strokeStyle = ctx.fillStyle = tone; ctx.lineWidth = width * r; ctx.setLineDash(dash.map(d => d * r));
    ctx.beginPath(); ctx.moveTo(bbox.left, y); ctx.lineTo(bbox.left + bbox.width, y); ctx.stroke();
    ctx.font = `${11 * r}px sans-serif`; ctx.textAlign = "right"; ctx.textBaseline = "bottom";
    ctx.fillText(text, bbox.left + bbox.width - 4 * r, y - 3 * r);
    ctx.restore();
  }
  function under(u) {
    if (!last) return;
    const { ctx, bbox } = u;
    for (const [low, highest, tone] of [["p01", "p99", "rgba(70,75,77,.16)"], ["p25", "p75", "rgba(70,75,77,.20)"]]) {
      if (!known(last.minute[low])) continue;
      const top = u.valToPos(last.minute[highest], "y", true), bottom = u.valToPos(last.minute[low], "y", true);
      ctx.save(); ctx.fillStyle = tone; ctx.fillRect(bbox.left, top, bbox.width, bottom - top); ctx.restore();
    }
  }
  function over(u) {
    if (!last) return;
    levelAt(u, last.full_trip, [2, 3], "trips full", high, 2);
    levelAt(u, last.empty_trip, [2, 3], "trips empty", high, 2);
    levelAt(u, last.target, [8, 5], "target", soft, 1);
    const limit = last.side === "full" ? last.full_trip : last.side === "empty" ? last.empty_trip : null;
    const end = last.ts / 1000 + last.seconds_to_limit;
    if (limit === null || !known(last.seconds_to_limit) || last.seconds_to_limit > ahead || !known(last.fill)) return;
    const { ctx } = u, r = devicePixelRatio, x = u.valToPos(end, "x", true), y = u.valToPos(limit, "y", true);
    ctx.save();
    ctx.strokeStyle = ctx.fillStyle = high; ctx.lineWidth = 2 * r; ctx.setLineDash([5 * r, 4 * r]);
    ctx.beginPath(); ctx.moveTo(u.valToPos(last.ts / 1000, "x", true), u.valToPos(last.fill, "y", true)); ctx.lineTo(x, y); ctx.stroke();
    ctx.setLineDash([]); ctx.beginPath(); ctx.arc(x, y, 5 * r, 0, 7); ctx.fill();
    ctx.restore();
  }
  function makeCharts() {
    if (fillChart || !last) return;
    const place = $("fill-chart");
    fillChart = new uPlot({
      ...size(place), cursor: { show: false }, legend: { show: false },
      scales: { x: { time: true, range: () => { const now = last.ts / 1000; return [now - 60 * minutes, now + ahead]; } },
        y: { range: (_, low, most) => [Math.min(last.empty_trip - 6, low ?? 0), Math.max(last.full_trip + 8, most ?? 100)] } },
      axes: [{ stroke: ink, grid, space: 90, values: (_, ticks) => ticks.map(tick => clock.format(tick * 1000)) },
        { stroke: ink, grid, size: 56, values: (_, ticks) => ticks.map(tick => tick + " %") }],
      series: [{}, { stroke: ink, width: 1.5, points: { show: false } }],
      hooks: { drawClear: [under], draw: [over] },
    }, [times, fills], place);
    const spectrum = $("spectrum-chart");
    spectrumChart = new uPlot({
      ...size(spectrum), cursor: { show: false }, legend: { show: false },
      scales: { x: { time: false, range: () => [0, 4] }, y: { range: (_, __, most) => [0, Math.max(1, (most ?? 1) * 1.25)] } },
      axes: [{ stroke: ink, grid, values: (_, ticks) => ticks.map(tick => tick + " Hz") },
        { stroke: ink, grid, size: 56, values: (_, ticks) => ticks.map(tick => tick + " %") }],
      series: [{}, { stroke: ink, fill: "rgba(70,75,77,.25)", width: 1.5, points: { show: false } }],
      hooks: { draw: [name] },
    }, spectrumData, spectrum);
    addEventListener("resize", () => { fillChart.setSize(size(place)); spectrumChart.setSize(size(spectrum)); });
  }

  const rhythms = { "roll-turn": "turns of the roll", "control-loop": "the unwind's control", "machine-cycle": "the machine's cycle" };
  function whatTurns(hz) {
    const near = (rate, reach) => known(rate) && rate > 0 && Math.abs(hz - rate) < reach;
    const reach = Math.max(.025, .03 * hz);
    if (near(last.frequency_hz, reach) && rhythms[last.rhythm]) return rhythms[last.rhythm];
    for (let k = 1; k <= 4; k++) if (near(k * last.cycle_hz, reach)) return k === 1 ? "the machine's cycle" : `the machine's cycle, ${k} times`;
    for (let k = 1; k <= 2; k++) if (near(k * last.turn_hz, reach)) return k === 1 ? "turns of the roll" : "the roll, twice a turn";
    return "nothing known";
  }
  function peaks() {
    const [hz, lines] = spectrumData;
    const found = [];
    for (let k = 4; k < lines.length - 1; k++)
      if (lines[k] > lines[k - 1] && lines[k] >= lines[k + 1] && lines[k] > .3) found.push({ hz: hz[k], percent: lines[k] });
    found.sort((a, b) => b.percent - a.percent);
    const apart = [];
    for (const peak of found) if (apart.every(other => Math.abs(other.hz - peak.hz) > .08)) apart.push(peak);
    return apart.slice(0, 4).map(peak => ({ ...peak, what: whatTurns(peak.hz) }));
  }
  function name(u) {
    const { ctx, bbox } = u, r = devicePixelRatio;
    ctx.save();
    ctx.fillStyle = ink; ctx.font = `${11 * r}px sans-serif`;
    for (const [i, peak] of peaks().entries()) {
      const x = u.valToPos(peak.hz, "x", true), y = u.valToPos(peak.percent, "y", true);
      ctx.textAlign = x > bbox.left + bbox.width * .75 ? "right" : "left";
      ctx.beginPath(); ctx.arc(x, y, 3 * r, 0, 7); ctx.fill();
      ctx.fillText(String(i + 1), x + 6 * r, y - 3 * r);
    }
    ctx.restore();
  }

  let said = "", shownWarnings = "";
  function showWarnings({ machine, warnings }) {
    const text = JSON.stringify(warnings);
    if (text === shownWarnings) return;
    shownWarnings = text;
    $("warning-list").replaceChildren(...(warnings.length ? warnings.map(one => {
      const item = element("li", one.priority), words = element("div");
      const side = one.side ? `, ${one.side} side` : "";
      const head = element("p");
      head.append(element("strong", "", one.condition), `: ${one.priority} priority${side}, since ${clock.format(one.since)}`);
      words.append(head, element("p", "", one.evidence));
      if (one.causes.length)
        words.append(element("p", "", "Likely: " + one.causes.map(c => `${c.cause} (${Math.round(100 * c.confidence)} %)`).join(", then ")));
      if (one.check) words.append(element("p", "", one.check));
      item.append(mark(one.priority), words);
      return item;
    }) : [element("li", "none", "None is raised.")]));
    const summary = warnings.map(one => `${one.condition} ${one.priority} ${one.side ?? ""}`).join("; ");
    if (summary !== said) { said = summary; say("said", `${machine}: ${summary || "no warning"}`); }
  }
  function showFacts(facts) {
    const list = $("facts");
    const terms = facts.flatMap(([term, value, bad]) => [element("dt", "", term), element("dd", bad ? "bad" : "", value)]);
    if ([...list.children].map(child => child.textContent).join() !== terms.map(term => term.textContent).join()) list.replaceChildren(...terms);
  }
  function open() {
    $("detail").hidden = $("skip").hidden = false;
    document.body.classList.add("with-machine");
  }
  function showMachine(machine, trace, now) {
    open();
    say("title", machine.machine);
    document.title = `${machine.machine} – Dancerwatch`;
    showWarnings(machine);
    if (!known(machine.ts)) { say("state", "No good reading yet."); return; }
    last = machine;
    if (trace.anew) { times.length = 0; fills.length = 0; }
    for (let i = 0; i < trace.time.length; i++) { times.push(trace.time[i] / 1000); fills.push(trace.fill[i]); }
    const old = times.findIndex(time => time >= now / 1000 - 60 * minutes - 5);
    if (old > 500) { times.splice(0, old); fills.splice(0, old); }
    const age = (now - machine.ts) / 1000;
    say("state", `${machine.line} · ${machine.regime} for ${lasting(machine.regime_seconds ?? 0)}`);
    $("state").classList.toggle("bad", machine.regime === "tripped");
    for (const side of ["full", "empty"]) {
      say(`${side}-margin`, number(machine[`${side}_margin`], 1));
      say(`${side}-mm`, number(machine[`${side}_margin_mm`], 0));
      $(`${side}-margin`).classList.toggle("bad", known(machine[`${side}_margin`]) && machine[`${side}_margin`] < 5);
    }
    // Further ahead it is a drift as any machine has.
    const soon = machine.side && known(machine.seconds_to_limit) && machine.seconds_to_limit < 300;
    say("ahead", soon ? `At its present rate it passes the ${machine.side} side's trip in ${lasting(machine.seconds_to_limit)}.`
      : known(machine.probability_5min) ? `A trip within 5 min: ${Math.round(100 * machine.probability_5min)} %.` : "Nothing is known of what is to come.");
    $("ahead").classList.toggle("bad", Boolean(soon) && machine.seconds_to_limit < 60);
    say("fill-words", `Fill ${number(machine.fill, 0, "%")}, target ${number(machine.target, 0, "%")}; last minute ${number(machine.minute.p01, 0)} to ${number(machine.minute.p99, 0, "%")}, quarter of an hour ${number(machine.quarter.p01, 0)} to ${number(machine.quarter.p99, 0, "%")}, eight hours ${number(machine.shift.p01, 0)} to ${number(machine.shift.p99, 0, "%")} (1 % to 99 %, running only).`);
    const lines = machine.spectrum.lines;
    spectrumData = lines ? [lines.map((_, k) => k * machine.spectrum.step_hz), lines] : [[], []];
    const told = peaks().map((peak, i) => `${i + 1}: ${peak.hz.toFixed(2)} Hz, ${peak.percent.toFixed(1)} % either way: ${peak.what}`);
    say("spectrum-words", !lines ? "It takes half a minute of readings." : told.length ? told.join(". ") + "." : "Nothing moves regularly.");
    const good = machine.quality === "good" && age < 3;
    showFacts([
      ["film left", known(machine.film_left_m) ? `${Math.round(machine.film_left_m)} m, ${number(machine.minutes_left, 0, "min")}` : "–"],
      ["roll", number(machine.diameter_mm, 0, "mm")],
      ["swing in a cycle", number(machine.cycle_swing, 1, "%")],
      ["readings", age > 3 ? `none for ${lasting(age)}` : { good: "good", partial: "an optional tag is not read", bad: "gap or unwind speed is not read" }[machine.quality], !good],
      ...(machine.fault ? [["gap", machine.fault, true]] : []),
    ]);
    makeCharts();
    fillChart.setData([times, fills]);
    spectrumChart.setData(spectrumData);
  }

  // ---- the events
  let heard = 0;
  const events = new EventSource("/events" + (chosen ? "?machine=" + encodeURIComponent(chosen) : ""));
  events.onmessage = event => {
    const frame = JSON.parse(event.data);
    heard = performance.now();
    $("live").classList.remove("lost");
    say("live", clock.format(frame.now));
    showLine(frame.line.machines, frame.now);
    if (frame.machine) showMachine(frame.machine, frame.trace, frame.now);
    else if (chosen) { open(); say("title", chosen); say("state", "It is no longer watched."); }
  };
  setInterval(() => {
    if (performance.now() - heard < 4000) return;
    $("live").classList.add("lost");
    say("live", "Not connected: what is shown is old.");
  }, 1000);
})();
