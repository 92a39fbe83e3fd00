// Chromium for the tests, with what every page is held to: no script error, no
// breach of the page's policy, no request to anybody else.
import assert from "node:assert/strict";
import { mkdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { chromium } from "playwright-core";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
export const pictures = join(import.meta.dirname, "out");
mkdirSync(pictures, { recursive: true });

export const launch = () =>
  chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });

/** open opens a page and watches it. The returned page has close, which tells what went wrong on it. */
export async function open(browser, url, { allow = [], ...options } = {}) {
  const context = await browser.newContext({
    viewport: { width: 1280, height: 900 },
    serviceWorkers: "block",
    ...options,
  });
  const page = await context.newPage();
  page.setDefaultTimeout(8000);
  const faults = [];
  const hosts = new Set([new URL(url).host, ...allow]);
  page.on("pageerror", (error) => faults.push(`script error: ${error.message}`));
  page.on(
    "console",
    (m) => m.type() === "error" && !/Failed to load resource/.test(m.text()) && faults.push(`console: ${m.text()}`),
  );
  page.on(
    "request",
    (r) => !/^(data|blob):/.test(r.url()) && !hosts.has(new URL(r.url()).host) && faults.push(`request to ${r.url()}`),
  );
  await page.addInitScript(() => {
    window.breaches = [];
    window.moved = []; // layout shifts that no input caused
    window.dialogs = 0;
    window.canary = () => window.dialogs++;
    document.addEventListener("securitypolicyviolation", (e) =>
      window.breaches.push(`${e.violatedDirective} ${e.blockedURI} ${e.sample}`),
    );
    new PerformanceObserver((list) => {
      for (const entry of list.getEntries())
        if (!entry.hadRecentInput)
          window.moved.push(
            `${entry.value.toFixed(5)} ${entry.sources.map((s) => `${s.node?.localName ?? s.node?.parentElement?.localName}.${s.node?.className ?? ""} ${s.previousRect.x},${s.previousRect.y} ${s.previousRect.width}x${s.previousRect.height} -> ${s.currentRect.x},${s.currentRect.y} ${s.currentRect.width}x${s.currentRect.height}`).join("; ")}`,
          );
    }).observe({ type: "layout-shift", buffered: true });
  });
  page.faults = faults;
  page.finish = async () => {
    faults.push(...(await page.evaluate(() => window.breaches)).map((b) => `policy: ${b}`));
    assert.deepEqual(faults, []);
    assert.equal(await page.evaluate(() => window.dialogs), 0, "a script from data ran");
    assert.equal((await context.cookies()).length, 0, "cookies were set");
    assert.deepEqual(
      await page.evaluate(() => [localStorage.length, sessionStorage.length]),
      [0, 0],
      "something was stored",
    );
    await context.close();
  };
  await page.goto(url);
  return page;
}

/** settled waits until the panel shows the answer to its newest question. */
export const settled = (page) =>
  page.waitForFunction(() => {
    const panel = document.querySelector("slipfit-panel");
    const record = panel?.shadowRoot?.querySelector(".record.told");
    return record && record.getAttribute("aria-busy") !== "true" && !record.classList.contains("old");
  });

/** accessible fails with what axe-core finds on the page, shadow roots included. */
export async function accessible(page) {
  await page.evaluate(axe);
  const { violations } = await page.evaluate(() =>
    window.axe.run(document, {
      resultTypes: ["violations"],
      runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    }),
  );
  assert.deepEqual(
    violations.map(
      (v) =>
        `${v.id}: ${v.help}: ${v.nodes
          .map((n) => `${n.target.join(" > ")} ${n.failureSummary}`)
          .slice(0, 3)
          .join(" | ")}`,
    ),
    [],
  );
}

/** picture keeps what the page looks like, to be looked at. */
export const picture = (page, name) => page.screenshot({ path: join(pictures, `${name}.png`) });
