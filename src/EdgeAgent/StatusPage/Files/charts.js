// Fill over the last minutes and its spectrum, drawn from what was heard last of the machine.
const style = getComputedStyle(document.documentElement);
const colour = name => style.getPropertyValue(name).trim();
const ink = colour("--ink"), soft = colour("--soft"), high = colour("--high");
const grid = { stroke: "#b4b6b1", width: 1 };
const minutes = 5, ahead = 60;
// For a sheet of paper; the sheet's style makes it fit.
const paper = 640;
let fillChart, spectrumChart, last, spectrumData = [[], []];
const times = [], fills = [];
const size = place => ({ width: place.clientWidth - 2, height: place.clientHeight - 2 });

function stroke(u, tone, width, dash, from, to) {
  const { ctx } = u, r = devicePixelRatio;
  ctx.save();
  ctx.strokeStyle = tone; ctx.lineWidth = width * r; ctx.setLineDash(dash.map(d => d * r));
  ctx.beginPath(); ctx.moveTo(...from); ctx.lineTo(...to); ctx.stroke();
  ctx.restore();
}
function label(u, text, x, y, tone, align) {
  const { ctx } = u, r = devicePixelRatio;
  ctx.save();
  ctx.fillStyle = tone; ctx.font = `${11 * r}px sans-serif`; ctx.textAlign = align; ctx.textBaseline = "bottom";
  ctx.fillText(text, x, y - 3 * r);
  ctx.restore();
}
function levelAt(u, value, dash, text, tone, width) {
  if (!known(value)) return;
  const { bbox } = u, y = u.valToPos(value, "y", true), right = bbox.left + bbox.width;
  stroke(u, tone, width, dash, [bbox.left, y], [right, y]);
  label(u, text, bbox.left + 4 * devicePixelRatio, y, tone, "left");
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
  const { ctx, bbox } = u, r = devicePixelRatio, now = u.valToPos(last.ts / 1000, "x", true);
  levelAt(u, last.full_trip, [2, 3], "trips past full", ink, 2);
  levelAt(u, last.empty_trip, [2, 3], "trips past empty", ink, 2);
  levelAt(u, last.target, [8, 5], "target", soft, 1);
  stroke(u, soft, 1, [], [now, bbox.top], [now, bbox.top + bbox.height]);
  label(u, "now", now + 4 * r, bbox.top + 14 * r, soft, "left");
  const limit = last.side === "full" ? last.full_trip : last.side === "empty" ? last.empty_trip : null;
  if (limit === null || !known(last.seconds_to_limit) || last.seconds_to_limit > ahead || !known(last.fill)) return;
  const x = u.valToPos(last.ts / 1000 + last.seconds_to_limit, "x", true), y = u.valToPos(limit, "y", true);
  const tone = isWarnedOf(last, last.side) ? high : soft;
  stroke(u, tone, 2, [5, 4], [now, u.valToPos(last.fill, "y", true)], [x, y]);
  ctx.save(); ctx.fillStyle = tone; ctx.beginPath(); ctx.arc(x, y, 5 * r, 0, 7); ctx.fill(); ctx.restore();
}
function makeCharts() {
  if (fillChart || !last) return;
  const place = $("fill-chart"), spectrum = $("spectrum-chart");
  const percent = { stroke: ink, grid, size: 56, values: (_, ticks) => ticks.map(tick => number(tick, 0, "%")) };
  const still = { cursor: { show: false }, legend: { show: false } };
  fillChart = new uPlot({
    ...size(place), ...still,
    scales: { x: { time: true, range: () => { const now = last.ts / 1000; return [now - 60 * minutes, now + ahead]; } },
      y: { range: (_, low, most) => [Math.min(last.empty_trip - 6, low ?? 0), Math.max(last.full_trip + 10, most ?? 100)] } },
    axes: [{ stroke: ink, grid, space: 90, size: 34, values: (_, ticks) => ticks.map(tick => clock.format(tick * 1000)) }, percent],
    series: [{}, { stroke: ink, width: 1.5, points: { show: false } }],
    hooks: { drawClear: [under], draw: [over] },
  }, [times, fills], place);
  spectrumChart = new uPlot({
    ...size(spectrum), ...still,
    scales: { x: { time: false, range: () => [0, 4] }, y: { range: (_, __, most) => [0, Math.max(1, (most ?? 1) * 1.25)] } },
    axes: [{ stroke: ink, grid, size: 34, values: (_, ticks) => ticks.map(tick => tick + " Hz") },
      { ...percent, values: (_, ticks) => ticks.map(tick => tick + " %") }],
    series: [{}, { stroke: ink, fill: "rgba(70,75,77,.25)", width: 1.5, points: { show: false } }],
    hooks: { draw: [numberPeaks] },
  }, spectrumData, spectrum);
  const fit = width => [[fillChart, place], [spectrumChart, spectrum]]
    .forEach(([chart, room]) => chart.setSize({ ...size(room), ...(width ? { width } : {}) }));
  addEventListener("resize", () => fit());
  addEventListener("beforeprint", () => fit(paper));
  addEventListener("afterprint", () => fit());
}

const rhythms = { "roll-turn": "turns of the roll", "control-loop": "the unwind's control", "machine-cycle": "the machine's cycle" };
const often = ["", "", "twice", "three times", "four times"];
function whatTurns(hz) {
  const near = (rate, reach) => known(rate) && rate > 0 && Math.abs(hz - rate) < reach;
  const reach = Math.max(.025, .03 * hz);
  if (near(last.frequency_hz, reach) && rhythms[last.rhythm]) return rhythms[last.rhythm];
  for (let k = 1; k <= 4; k++) if (near(k * last.cycle_hz, reach)) return k === 1 ? "the machine's cycle" : `${often[k]} a cycle`;
  for (let k = 1; k <= 2; k++) if (near(k * last.turn_hz, reach)) return k === 1 ? "turns of the roll" : "twice a turn of the roll";
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
  return apart.slice(0, 4);
}
function numberPeaks(u) {
  const { ctx, bbox } = u, r = devicePixelRatio;
  for (const [i, peak] of peaks().entries()) {
    const x = u.valToPos(peak.hz, "x", true), y = u.valToPos(peak.percent, "y", true);
    ctx.save(); ctx.fillStyle = ink; ctx.beginPath(); ctx.arc(x, y, 3 * r, 0, 7); ctx.fill(); ctx.restore();
    label(u, String(i + 1), x + 6 * r, y, ink, x > bbox.left + bbox.width * .95 ? "right" : "left");
  }
}
