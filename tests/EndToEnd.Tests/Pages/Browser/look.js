"use strict";
// Looks at a page in the system's Chromium: node look.js CHROMIUM ADDRESS FOLDER. Prints one line of JSON: what was asked
// for from where, errors, what axe finds, how many pixels of each chart are drawn, whether it fits the window and a sheet of
// paper, and texts of elements at two moments. Screenshots go to FOLDER, also without colours and as printed.
const path = require("path");
const { windows, launch, open, judge, wide } = require("./browser");

const [chromium, address, folder] = process.argv.slice(2);

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

// Without colours, and on paper, where a browser leaves out grounds unless it is told not to.
async function print(page) {
  const session = await page.context().newCDPSession(page);
  await session.send("Emulation.setEmulatedVisionDeficiency", { type: "achromatopsia" });
  await page.screenshot({ path: path.join(folder, "grey.png"), fullPage: true });
  const pdf = await page.pdf({ path: path.join(folder, "paper.pdf"), format: "A4", preferCSSPageSize: true });
  await page.setViewportSize({ width: 703, height: 1000 }); // of A4 within its margins
  await page.emulateMedia({ media: "print" });
  return { pages: pdf.toString("latin1").match(/\/Type\s*\/Page\b/g).length, wide: await wide(page) };
}

async function look(browser, window) {
  const { context, page, requests, errors } = await open(browser, window);
  await page.goto(address, { waitUntil: "load" });
  const live = await page.locator("#live").count() > 0;
  if (live) await page.waitForFunction(() => /^\d\d:/.test(document.getElementById("live").textContent), null, { timeout: 20000 });
  const hasCharts = await page.locator(".chart").count() > 0 && (!live || address.includes("/machine/"));
  if (hasCharts) await page.waitForSelector(".chart canvas", { timeout: 20000 });
  const first = live ? await page.locator("#live").textContent() : "";
  if (live)
    await page.waitForFunction(before => document.getElementById("live").textContent !== before, first, { timeout: 20000 });
  const second = live ? await page.locator("#live").textContent() : "";
  const violations = await judge(page);
  const shot = path.join(folder, `${window.name}.png`);
  await page.screenshot({ path: shot, fullPage: true });
  const result = {
    window: window.name,
    requests,
    errors,
    violations,
    charts: hasCharts ? await drawn(page) : [],
    wide: await wide(page),
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
  result.paper = await print(page);
  await context.close();
  return result;
}

(async () => {
  const browser = await launch(chromium);
  try {
    const seen = [];
    for (const window of windows) seen.push(await look(browser, window));
    console.log(JSON.stringify(seen));
  } finally {
    await browser.close();
  }
})().catch(error => { console.error(error); process.exit(1); });
