// Shows what the events say, once a second. Asks for nothing else and sends nothing.
let heard = 0;
const events = new EventSource("/events" + (chosen ? "?machine=" + encodeURIComponent(chosen) : ""));
events.onmessage = event => {
  const frame = JSON.parse(event.data);
  heard = performance.now();
  $("live").classList.remove("lost");
  say("live", clockWithZone.format(frame.now));
  showLine(frame.line.machines, frame.now);
  if (frame.machine) showMachine(frame.machine, frame.trace, frame.now);
  else if (chosen) { open(); say("title", chosen); say("state", "It is no longer watched."); }
};
setInterval(() => {
  if (performance.now() - heard < 4000) return;
  $("live").classList.add("lost");
  say("live", "Not connected: what is shown is old.");
}, 1000);
