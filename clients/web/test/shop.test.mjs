// The demo shop and its panel in Chromium, against the real service.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
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

const shop = async (id, options) => {
  const page = await open(browser, `${service.url}/?${id}`, options);
  await settled(page);
  return page;
};
const verdict = (page) => page.evaluate(() => document.querySelector("slipfit-panel").answer.verdict);
const lit = (page) =>
  page.evaluate(() =>
    [...document.querySelector("slipfit-panel").shadowRoot.querySelectorAll(".finding.lit")].map(
      (li) => li.dataset.rule,
    ),
  );
const litShapes = (page) =>
  page.evaluate(() => document.querySelector("slipfit-panel").shadowRoot.querySelectorAll("svg > .lit > *").length);

describe("a build that does not fit", () => {
  test("says so, why, by how much, and what would settle it", async () => {
    const page = await shop("archive-overreach");
    const record = page.locator("slipfit-panel");
    assert.equal(await record.locator(".stamp").textContent(), "FAIL");
    const rows = record.locator(".main > .findings > ol > li");
    const answer = await service.check(await service.demo("archive-overreach"));
    const open = answer.findings.filter((f) => f.verdict !== "VERDICT_PASS");
    assert.equal(await rows.count(), open.length);
    const card = record.locator('[data-rule="clearance.card-length"]');
    assert.match(await card.textContent(), /Brecher 450 is 340 mm long/);
    assert.match(await card.locator(".margin").textContent(), /−9\.99/);
    assert.match(await card.locator(".do").first().textContent(), /11 mm shorter/);
    await card.locator("summary").click();
    const evidence = card.locator(".evidence");
    for (const part of [
      /339\.5…340\.5/,
      /at most 330 /,
      /items\[5\]\.part\.card\.length_mm/,
      /limits that the enclosure's maker publishes/,
      /clearance\.card-length/,
    ])
      assert.match(await evidence.innerText(), part);
    await record.locator(".passed > summary").click();
    await record.locator(".passed li.finding").last().waitFor();
    assert.equal(await record.locator(".passed li.finding").count(), answer.findings.length - open.length);
    // Cautions stand there without a click.
    assert.ok(await record.locator('[data-rule="power.pinout"] .caution').isVisible());
    await picture(page, "failing");
    await accessible(page);
    await page.finish();
  });

  test("is mended through the shortlist", async () => {
    const page = await shop("no-arrangement");
    assert.equal(await verdict(page), "VERDICT_FAIL");
    await page.locator('[data-item="bottom-fans"] .swap').click();
    const fits = page.locator(".fits button");
    await fits.first().waitFor();
    await page.locator(".shortlist summary").click();
    assert.ok((await page.locator(".rejected li").count()) > 0);
    for (const why of await page.locator(".rejected li span").allTextContents())
      assert.notEqual(why.trim(), "", "a part that does not fit has a reason");
    await picture(page, "shortlist");
    await accessible(page);
    const name = await fits.first().locator("b").textContent();
    await fits.first().click();
    await settled(page);
    assert.notEqual(await verdict(page), "VERDICT_FAIL");
    assert.match(await page.locator('[data-item="bottom-fans"] .name').textContent(), new RegExp(name.trim()));
    await picture(page, "mended");
    await page.finish();
  });

  test("is mended by keyboard alone", async () => {
    const page = await shop("no-arrangement");
    const reach = async (what) => {
      for (let i = 0; i < 120; i++) {
        await page.keyboard.press("Tab");
        if (await page.evaluate((s) => document.activeElement?.matches(s), what)) return;
      }
      assert.fail(`${what} is not reached by the Tab key`);
    };
    await reach('[data-item="bottom-fans"] .swap');
    await page.keyboard.press("Enter");
    await page.locator(".fits button").first().waitFor();
    await reach(".fits button");
    await page.keyboard.press("Enter");
    await page.waitForFunction(() => document.querySelector("slipfit-panel").answer.verdict !== "VERDICT_FAIL");
    assert.ok(
      await page.evaluate(() => document.activeElement.matches('[data-item="bottom-fans"] .swap')),
      "the focus goes back to the role",
    );
    await page.finish();
  });

  test("offers a sheet of the very build that is on the bench", async () => {
    const page = await shop("upright-card");
    const [sheet] = await Promise.all([
      page.context().waitForEvent("page"),
      page.locator(".sheet button").first().click(),
    ]);
    await sheet.waitForLoadState();
    assert.match(await sheet.locator("h1").textContent(), /Card upright/);
    await sheet.screenshot({ path: "test/out/sheet.png" });
    await page.finish();
  });
});

describe("the drawing", () => {
  test("points out the shapes of a finding, and the findings of a shape", async () => {
    const page = await shop("archive-overreach");
    const record = page.locator("slipfit-panel");
    await record.locator('[data-rule="clearance.card-length"] .say').hover();
    assert.ok((await litShapes(page)) >= 3, "the card is lit in all three views");
    assert.ok((await lit(page)).includes("clearance.card-length"));
    await picture(page, "finding-to-shape");
    await page.mouse.move(2, 2);
    assert.equal(await litShapes(page), 0);
    await record.locator("svg #card").hover();
    assert.ok((await lit(page)).includes("clearance.card-length"));
    assert.ok(!(await lit(page)).includes("mounting.cooler-bracket"));
    await page.mouse.move(2, 2);
    await record.locator("svg #card").click();
    await page.mouse.move(2, 2);
    assert.ok((await lit(page)).includes("clearance.card-length"), "a tap holds");
    assert.equal(await record.locator('.chips [data-item="card"]').getAttribute("aria-pressed"), "true");
    await picture(page, "shape-to-finding");
    await record.locator("svg #card").click();
    await page.mouse.move(2, 2);
    assert.deepEqual(await lit(page), [], "and lets go");
    await page.finish();
  });

  test("points out the dimension that a finding states, and the findings that state a dimension", async () => {
    const page = await shop("archive-editor");
    const record = page.locator("slipfit-panel");
    const answer = await service.check(await service.demo("archive-editor"), ["clearance.drawing"]);
    const { dimensions } = answer.facts[0].picture;
    const between = (...items) => dimensions.find((d) => items.includes(d.first_item) && items.includes(d.second_item));
    const gap = between("cooler", "rear-fan");
    const finding = answer.findings.find((f) => f.rule === "clearance.gap" && f.subjects.includes("rear-fan"));
    assert.equal(gap.length_mm.toFixed(3), finding.measured.nominal.toFixed(3));
    const lines = () =>
      page.evaluate(() => {
        const svg = document.querySelector("slipfit-panel").shadowRoot.querySelector(".frame svg");
        const paths = [...svg.querySelectorAll(":scope > .lit path")].map((p) => p.getAttribute("d"));
        return [...svg.querySelectorAll('[id^="gap-"]')]
          .filter((g) => [...g.querySelectorAll("path")].every((p) => paths.includes(p.getAttribute("d"))))
          .map((g) => g.id);
      });
    await record.locator(".passed > summary").click();
    const row = record.locator('[data-rule="clearance.gap"]', { hasText: "Heron 120 Slim" });
    await row.locator(".say").hover();
    assert.deepEqual(await lines(), [gap.element], "by hover");
    await row.locator("summary").scrollIntoViewIfNeeded();
    await picture(page, "finding-to-dimension");
    await page.mouse.move(2, 2);
    assert.deepEqual(await lines(), []);
    await row.locator("summary").focus();
    assert.deepEqual(await lines(), [gap.element], "by focus");
    await row.locator("summary").blur();
    await row.locator("summary").click();
    await page.mouse.move(2, 2);
    assert.deepEqual(await lines(), [gap.element], "by tap");
    await row.locator("summary").click();
    await row.locator("summary").blur();
    await page.mouse.move(2, 2);
    assert.deepEqual(await lines(), []);
    // The other way round: the line, and its button for those who have no mouse.
    const stating = ["clearance.gap"];
    const chip = record.locator(`.chips [data-dimension="${gap.element}"]`);
    assert.match(await chip.textContent(), /^↔ 4\.1\smm$/);
    await chip.focus();
    assert.deepEqual([await lines(), await lit(page)], [[gap.element], stating], "by focus");
    await chip.blur();
    await record.locator(`svg [id="${gap.element}"] .grip`).hover();
    assert.deepEqual([await lines(), await lit(page)], [[gap.element], stating], "by hover");
    await picture(page, "dimension-to-finding");
    await record.locator(`svg [id="${gap.element}"] .grip`).click();
    await page.mouse.move(2, 2);
    assert.deepEqual([await lines(), await lit(page)], [[gap.element], stating], "by tap");
    assert.equal(await chip.getAttribute("aria-pressed"), "true");
    await accessible(page);
    // One that another view bears: that view is marked, and turned to by a tap.
    const headroom = dimensions.find((d) => d.length_mm === 0 && d.second_item === "cooler");
    const button = (view) => record.locator(`.views [data-view="${view}"]`);
    const other = record.locator(`.chips [data-dimension="${headroom.element}"]`);
    const view = await record.evaluate(
      (panel, id) => panel.shadowRoot.getElementById(id).closest('[id^="section-"]').id,
      headroom.element,
    );
    assert.notEqual(view, "section-side");
    assert.equal(await other.getAttribute("title"), "Lichtung 18 ↔ Zinne 168");
    await other.hover();
    assert.match(await button(view).getAttribute("class"), /lit/);
    assert.equal(await button("section-side").getAttribute("aria-pressed"), "true");
    await other.click();
    assert.equal(await button(view).getAttribute("aria-pressed"), "true");
    await picture(page, "dimension-in-its-view");
    await page.finish();
  });

  test("bears the very figure that findings state of a gap, wherever it dimensions it", async () => {
    // What findings say of gaps and what the drawing bears is one and the same figure.
    let met = 0;
    for (const { build } of await (await fetch(`${service.url}/demo/builds.json`)).json()) {
      const { findings, facts = [] } = await service.check(build, ["clearance.drawing"]);
      const dimensions = facts[0]?.picture?.dimensions ?? [];
      for (const f of findings.filter((f) => f.rule === "clearance.gap" && f.measured)) {
        const drawn = dimensions.filter((d) => [d.first_item, d.second_item].every((i) => f.subjects.includes(i)));
        if (!drawn.length) continue;
        met++;
        assert.ok(
          drawn.some((d) => Math.abs(d.length_mm - f.measured.nominal) < 0.005),
          `${build.id}: ${f.summary.text} ${JSON.stringify(drawn)}`,
        );
      }
    }
    assert.ok(met >= 5, `${met} findings have their dimension`);
  });

  test("shows its views one by one, and the sheet", async () => {
    const page = await shop("archive-editor");
    const box = () => page.locator("slipfit-panel .frame svg").getAttribute("viewBox");
    const seen = new Set();
    for (const view of ["Above", "Front", "Side", "Sheet"]) {
      await page.locator("slipfit-panel .views button", { hasText: view }).click();
      seen.add(await box());
    }
    assert.equal(seen.size, 4);
    const { picture: whole } = (await service.check(await service.demo("archive-editor"), ["clearance.drawing"]))
      .facts[0];
    assert.ok(seen.has(`0 0 ${whole.width_mm} ${whole.height_mm}`), [...seen].join());
    await page.finish();
  });

  test("is told to be missing where an enclosure is known by limits alone", async () => {
    const page = await shop("listening-room");
    assert.match(await page.locator("slipfit-panel .frame").textContent(), /nothing to draw/);
    await accessible(page);
    await page.finish();
  });
});

describe("what a visitor decides", () => {
  test("an arrangement is pinned in the document, and judged", async () => {
    const page = await shop("archive-editor");
    const record = page.locator("slipfit-panel");
    await record.locator(".choice summary").click();
    const choices = record.locator(".arrangements label");
    await choices.nth(1).waitFor();
    await accessible(page);
    const changed = page.evaluate(
      () =>
        new Promise((done) => document.addEventListener("slipfit-change", (e) => done(e.detail.build), { once: true })),
    );
    await choices.last().click();
    const build = await changed;
    assert.ok(build.arrangement.placements.length > 3);
    await settled(page);
    await picture(page, "arrangement");
    const { facts, findings } = await service.check(build, ["clearance.arrangement"]);
    assert.equal(facts[0].arrangement.feasible, true, "an arrangement that is offered fits");
    assert.deepEqual(
      findings.filter((f) => f.pack === "clearance" && f.verdict === "VERDICT_FAIL"),
      [],
    );
    const choice = ({ placed, panel, guard, ...rest }) => rest;
    assert.deepEqual(facts[0].arrangement.seats.map(choice), build.arrangement.placements);
    assert.ok(
      build.arrangement.placements.some((p) => p.count > 1),
      "an item of several pieces is pinned as well",
    );
    assert.ok(await choices.locator("input:checked").count(), "the choice stays marked");
    await page.finish();
  });

  test("missing figures are asked for, and complete the document", async () => {
    const page = await shop("archive-draft");
    const record = page.locator("slipfit-panel");
    await accessible(page);
    const unknown = () =>
      page.evaluate(
        () =>
          document.querySelector("slipfit-panel").answer.findings.filter((f) => f.verdict === "VERDICT_UNKNOWN").length,
      );
    const before = await unknown();
    await record.locator(".questions details details summary").click();
    const field = record.getByLabel("(announced) · height");
    assert.match(await field.locator("xpath=..").textContent(), /mm/);
    const changed = page.evaluate(
      () => new Promise((done) => document.addEventListener("slipfit-change", (e) => done(e.detail), { once: true })),
    );
    await field.fill("155,5");
    await field.press("Enter");
    const detail = await changed;
    assert.equal(detail.path, "items[3].part.air_cooler.height_mm");
    assert.equal(detail.build.items[3].part.air_cooler.height_mm, 155.5);
    await page.waitForFunction(
      (n) =>
        document.querySelector("slipfit-panel").answer.findings.filter((f) => f.verdict === "VERDICT_UNKNOWN").length <
        n,
      before,
    );
    assert.ok(await field.evaluate((e) => e.getRootNode().activeElement === e), "the field keeps the focus");
    for (const [label, value] of [
      ["sustained", 120],
      ["Room · temperature", 23],
      ["rated heat", 220],
      ["· limit", 95],
      ["· mass", 900],
      ["memory clearance", 40],
      ["memory capacity", 192],
    ]) {
      await record.getByLabel(label).fill(String(value));
      await record.getByLabel(label).press("Enter");
    }
    await page.waitForTimeout(150);
    await settled(page);
    assert.ok((await unknown()) < before / 2, `${await unknown()} of ${before} are open still`);
    await picture(page, "completed");
    // Taking a figure back opens what it had settled.
    const after = await unknown();
    await field.fill("");
    await field.press("Enter");
    await page.waitForFunction(
      (n) =>
        document.querySelector("slipfit-panel").answer.findings.filter((f) => f.verdict === "VERDICT_UNKNOWN").length >
        n,
      after,
    );
    await page.finish();
  });

  test("a figure that cannot be is refused at its field", async () => {
    const page = await shop("archive-draft");
    const record = page.locator("slipfit-panel");
    const field = record.getByLabel("Room · temperature");
    await field.fill("warm");
    await field.press("Enter");
    assert.equal(await field.getAttribute("aria-invalid"), "true");
    await field.fill("4000");
    await field.press("Enter");
    await record.locator(".field.wrong").waitFor();
    assert.match(await record.locator(".field.wrong small").textContent(), /60/);
    assert.match(await record.locator(".notice").textContent(), /room\.temperature_c/);
    await picture(page, "refused");
    await accessible(page);
    await field.fill("24");
    await field.press("Enter");
    await settled(page);
    assert.equal(await record.locator(".field.wrong").count(), 0);
    await page.finish();
  });

  test("fan speeds are followed by sound and heat", async () => {
    const page = await shop("archive-editor");
    const level = async () => Number.parseFloat(await page.locator(".forecast tr").first().locator(".n").textContent());
    const before = await level();
    const slider = page.locator("#fan-bottom-fans");
    await slider.focus();
    await page.keyboard.press("End");
    await page.waitForFunction(
      (n) => Number.parseFloat(document.querySelector(".forecast .n").textContent) > n,
      before,
    );
    await page.keyboard.press("Home");
    await page.waitForFunction(
      (n) => Number.parseFloat(document.querySelector(".forecast .n").textContent) < n,
      before,
    );
    await page.locator(".quiet").click();
    await page.waitForFunction(() => document.querySelector(".quiet-note").textContent !== "");
    await settled(page);
    await picture(page, "fans");
    await page.finish();
  });
});
