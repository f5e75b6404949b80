"use strict";
// Enters a token as a person does: node enter.js CHROMIUM ADDRESS FOLDER WRONG RIGHT. Prints one line of JSON, for each window:
// what axe finds of the form before and after the wrong token, what is said then, and what is seen after the right one.
const path = require("path");
const { windows, launch, open, judge, wide } = require("./browser");

const [chromium, address, folder, wrong, right] = process.argv.slice(2);

async function enter(browser, window) {
  const { context, page, errors } = await open(browser, window);
  await page.goto(address);
  const violations = await judge(page);
  // Typed where the page has put the cursor, and sent by the enter key.
  await page.keyboard.type(wrong);
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => document.querySelector("[role=alert]").innerText !== "");
  const complaint = await page.locator("[role=alert]").innerText();
  violations.push(...await judge(page));
  await page.screenshot({ path: path.join(folder, `${window.name}.png`) });
  const seenBefore = await page.evaluate(() => document.body.innerText);
  const tooWide = await wide(page);
  await page.getByLabel("Token").fill(right);
  await page.getByRole("button").click();
  await page.waitForFunction(() => document.querySelectorAll("#machines li").length > 0);
  const seenAfter = await page.evaluate(() => document.body.innerText);
  const cookies = (await context.cookies()).map(({ httpOnly, sameSite, expires, value }) => ({ httpOnly, sameSite, expires, value }));
  // To the browser a refused page is an error; nothing else may be.
  const others = errors.filter(error => !error.includes("401"));
  await context.close();
  return { window: window.name, violations, complaint, seenBefore, tooWide, seenAfter, cookies, errors: others };
}

(async () => {
  const browser = await launch(chromium);
  try {
    const seen = [];
    for (const window of windows) seen.push(await enter(browser, window));
    console.log(JSON.stringify(seen));
  } finally {
    await browser.close();
  }
})().catch(error => { console.error(error); process.exit(1); });
