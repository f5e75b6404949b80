"use strict";
// Draws the charts of a report from the JSON beside it. Words and tables stand in the page without it.
(() => {
  const report = JSON.parse(document.getElementById("report").textContent);
  const t = report.timeline;
  const seconds = t.time.map(ms => ms / 1000);
  const style = getComputedStyle(document.documentElement);
  const ink = style.getPropertyValue("--ink").trim();
  const soft = style.getPropertyValue("--soft").trim();
  const high = style.getPropertyValue("--high").trim();
  const grid = { stroke: "#b4b6b1", width: 1 };
  const height = 250;
  // For a sheet of paper; the sheet's style makes it fit.
  const paper = { width: 900, height: 205 };

  // Times as the rest of the report writes them, in its zone, wherever it is opened.
  const parts = new Intl.DateTimeFormat("en-GB", { timeZone: report.timeZone, hourCycle: "h23",
    year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit", second: "2-digit" });
  const from = report.from / 1000, to = Math.max(report.to, report.from + 60_000) / 1000;
  function told(second) {
    const p = Object.fromEntries(parts.formatToParts(second * 1000).map(part => [part.type, part.value]));
    return { day: `${p.year}-${p.month}-${p.day}`, time: `${p.hour}:${p.minute}${to - from < 1800 ? ":" + p.second : ""}` };
  }
  // The day stands where it begins.
  const onAxis = (_, ticks) => ticks.map((tick, i) => {
    const { day, time } = told(tick);
    return i > 0 && told(ticks[i - 1]).day === day ? time : `${time}\n${day}`;
  });
  const inZone = second => uPlot.tzDate(new Date(second * 1000), report.timeZone);

  const timeAxis = { stroke: ink, grid, values: onAxis, space: 90, size: 46 };
  const valueAxis = unit => ({ stroke: ink, grid, label: unit, labelSize: 22, size: 58 });
  const show = digits => (_, value) => value == null ? "–" : value.toFixed(digits);
  const time = { label: "time", value: (_, value) => value == null ? "–" : `${told(value).day} ${told(value).time}` };
  const draws = [];

  function vertical(u, second, tone, width, dash) {
    const { ctx, bbox } = u, r = devicePixelRatio, x = u.valToPos(second, "x", true);
    if (x < bbox.left || x > bbox.left + bbox.width) return null;
    ctx.strokeStyle = ctx.fillStyle = tone; ctx.lineWidth = width * r; ctx.setLineDash(dash.map(d => d * r));
    ctx.beginPath(); ctx.moveTo(x, bbox.top); ctx.lineTo(x, bbox.top + bbox.height); ctx.stroke();
    return x;
  }
  // A trip is a filled triangle on a line through the chart; a change of the machine a dashed line.
  const marks = {
    hooks: {
      draw: u => {
        const { ctx, bbox } = u, size = 6 * devicePixelRatio;
        ctx.save();
        for (const trip of report.trips) {
          const x = vertical(u, trip.time / 1000, high, 1, []);
          if (x === null) continue;
          ctx.beginPath(); ctx.moveTo(x - size, bbox.top); ctx.lineTo(x + size, bbox.top); ctx.lineTo(x, bbox.top + 1.6 * size); ctx.fill();
        }
        if (report.change) vertical(u, report.change.time / 1000, ink, 2, [7, 5]);
        ctx.restore();
      },
    },
  };

  function draw(id, options, data) {
    const place = document.getElementById(id);
    if (!place) return;
    const size = () => ({ width: place.clientWidth - 16, height });
    const chart = new uPlot({ ...size(), tzDate: inZone, ...options }, data, place);
    draws.push(room => chart.setSize(room ?? size()));
  }
  const level = value => seconds.map(() => value);
  // The label shows how the line looks: many of them share one ink.
  const line = (look, label, stroke, dash, width = 1.5) =>
    ({ label: `${look} ${label}`, stroke, dash, width, points: { show: false }, value: show(1) });
  const timeScale = { x: { time: true, range: [from, to] } };

  draw("margin", {
    axes: [timeAxis, valueAxis("margin, % of fill")], scales: timeScale, plugins: [marks],
    series: [time, line("━━", "full side", ink), line("╍╍", "empty side", ink, [6, 4]), line("┈┈", "trip", ink, [1, 3], 2)],
  }, [seconds, t.fullMargin, t.emptyMargin, level(0)]);

  draw("fill", {
    axes: [timeAxis, valueAxis("fill, %")], scales: timeScale, plugins: [marks],
    bands: [{ series: [3, 1], fill: "rgba(60,64,66,.22)" }],
    series: [time, line("──", "p01", soft, null, 1), line("━━", "median", ink, null, 2), line("──", "p99", soft, null, 1), line("╍╍", "target", soft, [6, 4]),
      line("┈┈", "full-side trip", ink, [1, 3], 2), line("┈┈", "empty-side trip", ink, [1, 3], 2)],
  }, [seconds, t.p01, t.p50, t.p99, level(report.limits.target), level(report.limits.fullTrip), level(report.limits.emptyTrip)]);

  const kinds = [["machine-cycle", "○", "the machine's cycle"], ["roll-turn", "■", "turns of the roll"],
    ["control-loop", "▲", "the unwind's control"], ["unknown", "×", "nothing known"]];
  const byDiameter = t.diameter.some(d => d != null);
  const points = t.amplitude
    .map((amplitude, i) => ({ x: byDiameter ? t.diameter[i] : seconds[i], amplitude, rhythm: t.rhythm[i] }))
    .filter(point => point.x != null && point.amplitude != null && kinds.some(([kind]) => kind === point.rhythm))
    .sort((a, b) => a.x - b.x);
  const dot = ([kind, look, label]) => ({ label: `${look} ${label}`, stroke: ink, fill: kind === "machine-cycle" ? "transparent" : ink, paths: () => null,
    value: show(2), points: { show: true, size: 6, paths: (u, s) => shape(u, s, kind) } });
  function shape(u, s, kind) {
    const path = new Path2D();
    const r = 3.2 * devicePixelRatio;
    u.data[s].forEach((value, i) => {
      if (value == null) return;
      const x = u.valToPos(u.data[0][i], "x", true), y = u.valToPos(value, "y", true);
      if (kind === "machine-cycle") { path.moveTo(x + r, y); path.arc(x, y, r, 0, 7); }
      else if (kind === "roll-turn") path.rect(x - r, y - r, 2 * r, 2 * r);
      else if (kind === "control-loop") { path.moveTo(x, y - r); path.lineTo(x + r, y + r); path.lineTo(x - r, y + r); path.closePath(); }
      else { path.moveTo(x - r, y - r); path.lineTo(x + r, y + r); path.moveTo(x + r, y - r); path.lineTo(x - r, y + r); }
    });
    return { stroke: path, fill: path };
  }
  const across = byDiameter ? { stroke: ink, grid, label: "roll diameter, mm", labelSize: 22 } : timeAxis;
  draw("oscillation", {
    axes: [across, valueAxis("amplitude, % of fill")],
    scales: { x: { time: !byDiameter }, y: { range: (_, __, most) => [0, (most ?? 1) * 1.1] } },
    series: [byDiameter ? { label: "diameter, mm" } : time, ...kinds.map(dot)],
  }, [points.map(p => p.x), ...kinds.map(([kind]) => points.map(p => p.rhythm === kind ? p.amplitude : null))]);

  addEventListener("resize", () => draws.forEach(fit => fit()));
  addEventListener("beforeprint", () => draws.forEach(fit => fit(paper)));
  addEventListener("afterprint", () => draws.forEach(fit => fit()));
})();
