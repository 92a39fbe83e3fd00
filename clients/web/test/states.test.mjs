// The panel with no build, a bad one, a slow line, a service that goes and comes back.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { ask, bare } from "./bare.mjs";
import { accessible, launch, open, picture, settled } from "./browser.mjs";
import { Service } from "./service.mjs";

let service;
let browser;
before(async () => {
  [service, browser] = await Promise.all([Service.start(), launch()]);
});
after(async () => {
  await browser?.close();
  await service?.stop();
});

describe("states", () => {
  test("without a build, with an address that holds none, and with a bad document", async () => {
    const page = await bare(browser, service, undefined);
    await page.waitForFunction(() => customElements.get("slipfit-panel"));
    assert.match(await page.locator("slipfit-panel .notice").textContent(), /No build/);
    await accessible(page);
    await page.evaluate(() => document.querySelector("slipfit-panel").setAttribute("src", "/nothing.json"));
    await page.locator("slipfit-panel .notice", { hasText: "nothing.json: 404" }).waitFor();
    await ask(page, { id: "Bad Name", items: [{ id: "x", part: { fan: { size_mm: 1 } } }] });
    await page.locator("slipfit-panel .notice li").first().waitFor();
    assert.match(await page.locator("slipfit-panel .notice").textContent(), /items\[0\]\.part\.fan\.size_mm/);
    await picture(page, "bad-document");
    await accessible(page);
    await page.finish();
  });

  test("slow: it says so, nothing moves, and an older answer never replaces a newer", async () => {
    const page = await bare(browser, service, undefined);
    const [first, second] = [await service.demo("archive-overreach"), await service.demo("front-desk")];
    let held = 0;
    await page.route("**/v1/check", async (route) => {
      // The first question's answer comes last.
      const wait = held++ === 0 ? 1300 : 900;
      await new Promise((done) => setTimeout(done, wait));
      await route.continue().catch(() => {});
    });
    await ask(page, first);
    await page.waitForTimeout(120);
    await ask(page, second);
    await page.locator("slipfit-panel .notice", { hasText: "longer than usual" }).waitFor();
    await picture(page, "slow");
    await settled(page);
    assert.match(await page.locator("slipfit-panel .title").textContent(), /front desk/);
    await page.waitForTimeout(600);
    assert.match(await page.locator("slipfit-panel .title").textContent(), /front desk/);
    assert.deepEqual(await page.evaluate(() => window.moved), [], "something moved");
    await page.finish();
  });

  test("a slow line: the shop stands still while the answer comes", async () => {
    const page = await open(browser, "about:blank", { allow: [new URL(service.url).host] });
    const session = await page.context().newCDPSession(page);
    await session.send("Network.enable");
    await session.send("Network.emulateNetworkConditions", {
      offline: false,
      latency: 150,
      downloadThroughput: 120_000,
      uploadThroughput: 60_000,
    });
    await page.goto(`${service.url}/?archive-overreach`);
    await page.waitForTimeout(500);
    await picture(page, "slow-line");
    await settled(page);
    await page.waitForTimeout(300);
    assert.deepEqual(await page.evaluate(() => window.moved), [], "something moved");
    await page.finish();
  });

  test("quick edits travel together", async () => {
    const page = await bare(browser, service, await service.demo("archive-editor"));
    await settled(page);
    let asked = 0;
    page.on("request", (r) => r.url().endsWith("/v1/check") && asked++);
    const last = await page.evaluate(async () => {
      const panel = document.querySelector("slipfit-panel");
      for (let speed = 400; speed < 900; speed += 10) {
        const build = panel.build;
        build.use.fans.find((f) => f.item === "bottom-fans").speed_rpm = speed;
        panel.build = build;
        await new Promise(requestAnimationFrame);
      }
      return panel.build.use.fans.find((f) => f.item === "bottom-fans").speed_rpm;
    });
    await settled(page);
    await page.waitForTimeout(200);
    assert.equal(last, 890);
    assert.ok(asked >= 2 && asked < 40, `${asked} questions for 50 edits`);
    const shown = await page.evaluate(() => document.querySelector("slipfit-panel").answer);
    const fresh = await service.check(await page.evaluate(() => document.querySelector("slipfit-panel").build));
    const margin = (a) => a.findings.find((f) => f.rule === "thermal.listener").measured.nominal;
    assert.equal(margin(shown), margin(fresh), "the last edit is what is shown");
    await page.finish();
  });

  test("the service goes and comes back", async () => {
    const other = await Service.start();
    try {
      const page = await open(browser, `${other.url}/?archive-editor`);
      await settled(page);
      await other.stop();
      await page.evaluate(() => {
        const panel = document.querySelector("slipfit-panel");
        panel.build = { ...panel.build, title: "Asked while the service was away" };
      });
      await page.locator("slipfit-panel .notice", { hasText: "cannot be reached" }).waitFor();
      assert.match(await page.locator("slipfit-panel .notice").textContent(), /Earlier answer/);
      assert.equal(await page.locator("slipfit-panel .stamp").textContent(), "MARGINAL", "the earlier answer stays");
      await picture(page, "away");
      await accessible(page);
      await other.again();
      await page
        .locator("slipfit-panel .title", { hasText: "while the service was away" })
        .waitFor({ timeout: 20_000 });
      await settled(page);
      assert.equal(await page.locator("slipfit-panel .notice").textContent(), "");
      await page.finish();
    } finally {
      await other.stop();
    }
  });
});
