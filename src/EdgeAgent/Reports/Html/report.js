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
  const zone = report.timeZone;
  const two = new Intl.DateTimeFormat("en-GB", { timeZone: zone, day: "2-digit", month: "2-digit", hour: "2-digit", minute: "2-digit" });
  const axes = unit => [
    { stroke: ink, grid, values: (_, ticks) => ticks.map(tick => two.format(tick * 1000).replace(", ", "\n")), space: 90 },
    { stroke: ink, grid, label: unit, labelSize: 22, size: 58 },
  ];
  const show = digits => (_, value) => value == null ? "–" : value.toFixed(digits);
  const time = { label: "time", value: (_, value) => value == null ? "–" : two.format(value * 1000) };
  const draws = [];

  // A trip is a filled triangle on a line through the chart; a change of the machine a dashed line.
  const marks = {
    hooks: {
      draw: u => {
        const { ctx, bbox } = u;
        ctx.save();
        ctx.lineWidth = devicePixelRatio;
        ctx.setLineDash([]);
        ctx.strokeStyle = ctx.fillStyle = high;
        const inside = x => x >= bbox.left && x <= bbox.left + bbox.width;
        for (const trip of report.trips) {
          const x = u.valToPos(trip.time / 1000, "x", true);
          if (!inside(x)) continue;
          const size = 6 * devicePixelRatio;
          ctx.beginPath(); ctx.moveTo(x, bbox.top); ctx.lineTo(x, bbox.top + bbox.height); ctx.stroke();
          ctx.beginPath(); ctx.moveTo(x - size, bbox.top); ctx.lineTo(x + size, bbox.top); ctx.lineTo(x, bbox.top + 1.6 * size); ctx.fill();
        }
        if (report.change) {
          const x = u.valToPos(report.change.time / 1000, "x", true);
          ctx.strokeStyle = ink; ctx.lineWidth = 2 * devicePixelRatio; ctx.setLineDash([7 * devicePixelRatio, 5 * devicePixelRatio]);
          if (inside(x)) { ctx.beginPath(); ctx.moveTo(x, bbox.top); ctx.lineTo(x, bbox.top + bbox.height); ctx.stroke(); }
        }
        ctx.restore();
      },
    },
  };

  function draw(id, options, data) {
    const place = document.getElementById(id);
    if (!place) return;
    const chart = new uPlot({ width: place.clientWidth - 16, height: 250, ...options }, data, place);
    draws.push(() => chart.setSize({ width: place.clientWidth - 16, height: 250 }));
  }
  const level = value => seconds.map(() => value);
  const line = (label, stroke, dash, width = 1.5) => ({ label, stroke, dash, width, points: { show: false }, value: show(1) });
  const timeScale = { x: { time: true, range: [report.from / 1000, Math.max(report.to, report.from + 60000) / 1000] } };

  draw("margin", {
    axes: axes("margin, % of fill"), scales: timeScale, plugins: [marks],
    series: [time, line("full side", ink), line("empty side", soft, [5, 3]), line("trip", high, [1, 3], 2)],
  }, [seconds, t.fullMargin, t.emptyMargin, level(0)]);

  draw("fill", {
    axes: axes("fill, %"), scales: timeScale, plugins: [marks],
    bands: [{ series: [3, 1], fill: "rgba(60,64,66,.22)" }],
    series: [time, line("p01", soft), line("median", ink, null, 2), line("p99", soft), line("target", soft, [2, 4]),
      line("full-side trip", high, [1, 3], 2), line("empty-side trip", high, [1, 3], 2)],
  }, [seconds, t.p01, t.p50, t.p99, level(report.limits.target), level(report.limits.fullTrip), level(report.limits.emptyTrip)]);

  const shapes = { "machine-cycle": "circle", "roll-turn": "square", "control-loop": "triangle", unknown: "cross" };
  const byDiameter = t.diameter.some(d => d != null);
  const points = t.amplitude
    .map((amplitude, i) => ({ x: byDiameter ? t.diameter[i] : seconds[i], amplitude, rhythm: t.rhythm[i] }))
    .filter(point => point.x != null && point.amplitude != null && shapes[point.rhythm])
    .sort((a, b) => a.x - b.x);
  const kinds = Object.keys(shapes);
  const dot = kind => ({ label: kind, stroke: ink, fill: kind === "machine-cycle" ? "transparent" : ink, paths: () => null, value: show(2),
    points: { show: true, size: 6, paths: (u, s) => shape(u, s, shapes[kind]) } });
  function shape(u, s, kind) {
    const path = new Path2D();
    const r = 3.2 * devicePixelRatio;
    u.data[s].forEach((value, i) => {
      if (value == null) return;
      const x = u.valToPos(u.data[0][i], "x", true), y = u.valToPos(value, "y", true);
      if (kind === "circle") { path.moveTo(x + r, y); path.arc(x, y, r, 0, 7); }
      else if (kind === "square") path.rect(x - r, y - r, 2 * r, 2 * r);
      else if (kind === "triangle") { path.moveTo(x, y - r); path.lineTo(x + r, y + r); path.lineTo(x - r, y + r); path.closePath(); }
      else { path.moveTo(x - r, y - r); path.lineTo(x + r, y + r); path.moveTo(x + r, y - r); path.lineTo(x - r, y + r); }
    });
    return { stroke: path, fill: path };
  }
  const across = axes("amplitude, % of fill");
  if (byDiameter) across[0] = { stroke: ink, grid, label: "roll diameter, mm", labelSize: 22 };
  draw("oscillation", {
    axes: across, scales: { x: { time: !byDiameter }, y: { range: (_, __, most) => [0, (most ?? 1) * 1.1] } },
    series: [byDiameter ? { label: "diameter, mm" } : time, ...kinds.map(dot)],
  }, [points.map(p => p.x), ...kinds.map(kind => points.map(p => p.rhythm === kind ? p.amplitude : null))]);

  addEventListener("resize", () => draws.forEach(again => again()));
})();
