"use strict";
// What both scripts share: the system's Chromium that calls nobody, two windows, and axe's judgement.
const { chromium } = require("playwright-core");

exports.windows = [{ name: "desk", width: 1280, height: 800 }, { name: "phone", width: 390, height: 844 }];

exports.launch = executablePath => chromium.launch({
  executablePath,
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});

// A page in a window of its own, with what it asks for and what goes wrong.
exports.open = async (browser, { width, height }) => {
  const context = await browser.newContext({ viewport: { width, height } });
  const page = await context.newPage();
  const requests = [], errors = [];
  page.on("request", request => requests.push(request.url()));
  page.on("pageerror", error => errors.push(String(error)));
  page.on("console", message => { if (message.type() === "error") errors.push(message.text()); });
  return { context, page, requests, errors };
};

exports.judge = async page => {
  await page.evaluate(require("axe-core").source);
  const judged = await page.evaluate(() => axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"] }));
  return judged.violations.map(found =>
    `${found.id}: ${found.nodes.length}: ${found.nodes[0].html.slice(0, 160)}: ${found.nodes[0].failureSummary.slice(0, 200)}`);
};

exports.wide = page => page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
