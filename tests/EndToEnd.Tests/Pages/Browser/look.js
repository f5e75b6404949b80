"use strict";
// Looks at a page in the system's Chromium: node look.js CHROMIUM ADDRESS FOLDER. Prints one line of JSON: what was asked
// for from where, errors, what axe finds, how many pixels of each chart are drawn, whether it fits the window, and texts of
// elements at two moments. Screenshots go to FOLDER.
const path = require("path");
const { chromium } = require("playwright-core");

const [executablePath, address, folder] = process.argv.slice(2);
const windows = [{ name: "desk", width: 1280, height: 800 }, { name: "phone", width: 390, height: 844 }];

async function drawn(page) {
  return page.evaluate(() => [...document.querySelectorAll(".chart")].map(place => {
    const canvas = place.querySelector("canvas");
    if (!canvas) return { id: place.id, pixels: 0 };
    const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
    let pixels = 0;
    for (let i = 3; i < data.length; i += 4) if (data[i] > 40) pixels++;
    return { id: place.id, pixels };
  }));
}

async function look(browser, window) {
  const context = await browser.newContext({ viewport: { width: window.width, height: window.height } });
  const page = await context.newPage();
  const requests = [], errors = [];
  page.on("request", request => requests.push(request.url()));
  page.on("pageerror", error => errors.push(String(error)));
  page.on("console", message => { if (message.type() === "error") errors.push(message.text()); });
  await page.goto(address, { waitUntil: "load" });
  const live = await page.locator("#live").count() > 0;
  if (live) await page.waitForFunction(() => /^\d\d:/.test(document.getElementById("live").textContent), null, { timeout: 20000 });
  const hasCharts = await page.locator(".chart").count() > 0 && (!live || address.includes("/machine/"));
  if (hasCharts) await page.waitForSelector(".chart canvas", { timeout: 20000 });
  const first = live ? await page.locator("#live").textContent() : "";
  if (live)
    await page.waitForFunction(before => document.getElementById("live").textContent !== before, first, { timeout: 20000 });
  const second = live ? await page.locator("#live").textContent() : "";
  await page.evaluate(require("axe-core").source);
  const judged = await page.evaluate(() => axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"] }));
  const shot = path.join(folder, `${window.name}.png`);
  await page.screenshot({ path: shot, fullPage: true });
  const result = {
    window: window.name,
    requests,
    errors,
    violations: judged.violations.map(found => `${found.id}: ${found.nodes.length}: ${found.nodes[0].html.slice(0, 160)}: ${found.nodes[0].failureSummary.slice(0, 200)}`),
    charts: hasCharts ? await drawn(page) : [],
    wide: await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth),
    first,
    second,
    text: await page.evaluate(() => document.body.innerText),
  };
  // The whole page can be walked by the keyboard: from link to link, each seen.
  const stops = [];
  for (let i = 0; i < 6; i++) {
    await page.keyboard.press("Tab");
    stops.push(await page.evaluate(() => document.activeElement.tagName));
  }
  result.stops = stops;
  await context.close();
  return result;
}

(async () => {
  const browser = await chromium.launch({
    executablePath,
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  });
  try {
    const seen = [];
    for (const window of windows) seen.push(await look(browser, window));
    console.log(JSON.stringify(seen));
  } finally {
    await browser.close();
  }
})().catch(error => { console.error(error); process.exit(1); });
