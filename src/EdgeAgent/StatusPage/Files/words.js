// What all parts of the page share: elements, numbers, times.
const $ = id => document.getElementById(id);
const known = value => value !== null && value !== undefined;
const number = (value, digits, unit) => known(value) ? value.toFixed(digits).replace("-", "−") + (unit ? " " + unit : "") : "–";
const range = (low, high) => known(low) ? `${number(low, 0)} to ${number(high, 0)} %` : "–";
const clock = new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit", second: "2-digit" });
const clockWithZone = new Intl.DateTimeFormat("en-GB",
  { hour: "2-digit", minute: "2-digit", second: "2-digit", timeZoneName: "short" });

function element(tag, name, ...content) {
  const made = document.createElement(tag);
  if (name) made.className = name;
  made.append(...content.filter(known));
  return made;
}
function say(id, text) { if ($(id).textContent !== text) $(id).textContent = text; }
function lasting(seconds) {
  if (seconds < 100) return Math.round(seconds) + " s";
  return seconds < 5940 ? Math.round(seconds / 60) + " min" : (seconds / 3600).toFixed(1) + " h";
}
// Priority as shape, letter and colour; words say it beside.
function mark(priority) {
  const made = element("span", "mark " + priority, priority[0].toUpperCase());
  made.setAttribute("aria-hidden", "true");
  return made;
}
const doing = one => one.regime === "tripped" && one.trip_side ? `tripped past ${one.trip_side}` : one.regime;
