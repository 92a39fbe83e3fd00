// The panel by itself: its looks, its keyboard, its states, and what it does with
// text and drawings that are out to harm.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createServer } from "node:http";
import { join } from "node:path";
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

/** The panel alone on a page under the shop's policy, with a build that a script sets. */
async function bare(build, { html = "", attributes = "", policy = true, ...options } = {}) {
  const url = `${service.url}/bare`;
  const page = await open(browser, "about:blank", { ...options, allow: [new URL(service.url).host] });
  const head = (await fetch(`${service.url}/`)).headers.get("content-security-policy");
  await page.route(url, (route) =>
    route.fulfill({ contentType: "text/html", headers: policy ? { "content-security-policy": head } : {}, body: `<!doctype html><html lang="en" ${html}><meta name="viewport" content="width=device-width"><title>Bare</title><script type="module" src="/slipfit-panel.js"></script><main><h1>Basket</h1><slipfit-panel ${attributes}></slipfit-panel></main>` }),
  );
  await page.goto(url);
  if (build) await ask(page, build);
  return page;
}
const ask = (page, build) => page.evaluate((b) => void (document.querySelector("slipfit-panel").build = b), build);
const inside = (page, f, argument) => page.evaluate(`(${f})(document.querySelector("slipfit-panel").shadowRoot, ${JSON.stringify(argument ?? null)})`);

describe("looks", () => {
  for (const [name, options] of Object.entries({
    narrow: { viewport: { width: 320, height: 900 } },
    dark: { colorScheme: "dark" },
    german: { html: 'lang="de"' },
    rightToLeft: { html: 'dir="rtl"' },
    forced: { forcedColors: "active" },
  })) {
    test(`${name}: nothing is cut off, nothing too small, axe-core finds nothing`, async () => {
      const page = await bare(await service.demo("archive-overreach"), { ...options, ...(name === "german" ? { html: "" } : {}) });
      if (name === "german") await page.evaluate(() => (document.querySelector("slipfit-panel").lang = "de"));
      await settled(page);
      await page.locator("slipfit-panel").locator(".finding summary").nth(3).click();
      await picture(page, name);
      assert.ok((await page.evaluate(() => document.documentElement.scrollWidth)) <= (options.viewport?.width ?? 1280), "the page scrolls sideways");
      const small = await inside(page, (root) => [...root.querySelectorAll("button, input, select, summary, .arrangements label")].filter((e) => e.offsetParent && (e.getBoundingClientRect().height < 24 || e.getBoundingClientRect().width < 24)).map((e) => e.outerHTML.slice(0, 90)));
      assert.deepEqual(small, [], "targets of less than 24 px");
      if (name !== "forced") await accessible(page);
      if (name === "german") {
        assert.equal(await page.locator("slipfit-panel .stamp").textContent(), "N. I. O.");
        const card = page.locator('slipfit-panel [data-rule="clearance.card-length"]');
        assert.match(await card.textContent(), /Brecher 450 ist 340\smm lang, frei sind nur 330\smm/);
        assert.match(await card.locator(".margin").textContent(), /−9,99/);
        // What has no German is marked as English.
        assert.equal(await inside(page, (root) => [...root.querySelectorAll(".say > span:not(.mark, .figure)")].every((s) => s.lang === "en")), true);
      }
      if (name === "rightToLeft") {
        const [stamp, title] = await inside(page, (root) => [".stamp", ".title"].map((q) => root.querySelector(q).getBoundingClientRect().left));
        assert.ok(stamp > title, "the stamp stands at the start of the line");
      }
      await page.finish();
    });
  }

  test("a page themes it by custom properties and parts", async () => {
    const page = await bare(await service.demo("archive-editor"));
    await settled(page);
    await page.evaluate(() => {
      const sheet = new CSSStyleSheet();
      sheet.replaceSync("slipfit-panel { --slipfit-paper: rgb(1, 2, 3); } slipfit-panel::part(stamp) { letter-spacing: 7px; }");
      document.adoptedStyleSheets = [sheet];
    });
    const seen = await page.evaluate(() => {
      const panel = document.querySelector("slipfit-panel");
      return [getComputedStyle(panel).backgroundColor, getComputedStyle(panel.shadowRoot.querySelector(".stamp")).letterSpacing, getComputedStyle(panel.shadowRoot.querySelector(".frame svg .paper")).fill];
    });
    assert.deepEqual(seen, ["rgb(1, 2, 3)", "7px", "rgb(1, 2, 3)"]);
    await page.finish();
  });
});

test("everything is reached and worked by keyboard", async () => {
  const page = await bare(await service.demo("archive-editor"));
  await settled(page);
  const focus = () => inside(page, (root) => { const e = root.activeElement; return e && { tag: e.localName, text: e.textContent.slice(0, 40), item: e.dataset.item, ring: getComputedStyle(e).outlineStyle !== "none" }; });
  const seen = [];
  for (let i = 0; i < 40; i++) {
    await page.keyboard.press("Tab");
    const at = await focus();
    if (!at) break;
    seen.push(at);
    if (at.tag === "summary" && seen.length === 1) {
      assert.ok((await inside(page, (root) => root.querySelectorAll("svg > .lit > *").length)) >= 0);
      await page.keyboard.press("Enter");
      assert.equal(await inside(page, (root) => root.activeElement.parentElement.open), true);
    }
    if (at.item === "card") {
      assert.ok((await inside(page, (root) => root.querySelectorAll("svg > .lit > *").length)) > 0, "focus lights the shape");
      await page.keyboard.press("Space");
      assert.equal(await inside(page, (root) => root.activeElement.getAttribute("aria-pressed")), "true");
      await page.keyboard.press("Space");
    }
    if (/Choose an arrangement/.test(at.text)) {
      await page.keyboard.press("Enter");
      await page.locator("slipfit-panel .arrangements input").first().waitFor();
    }
  }
  assert.ok(seen.every((e) => e.ring), "focus is always seen");
  const operable = await inside(page, (root) => [...root.querySelectorAll("summary, button, input")].filter((e) => e.checkVisibility({ checkVisibilityCSS: true }) && !(e.type === "radio" && !e.checked)).length);
  assert.equal(new Set(seen.map((e) => e.tag + e.text)).size >= operable - 1, true, `${seen.length} of ${operable} were reached`);
  await page.finish();
});

describe("states", () => {
  test("without a build, with an address that holds none, and with a bad document", async () => {
    const page = await bare(undefined);
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
    const page = await bare(undefined);
    const [first, second] = [await service.demo("archive-overreach"), await service.demo("front-desk")];
    let held = 0;
    await page.route("**/v1/check", async (route) => {
      // The first question's answer comes last.
      const wait = held++ === 0 ? 1600 : 900;
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
    await page.waitForTimeout(1200);
    assert.match(await page.locator("slipfit-panel .title").textContent(), /front desk/);
    assert.deepEqual(await page.evaluate(() => window.moved), [], "something moved");
    await page.finish();
  });

  test("a slow line: the shop stands still while the answer comes", async () => {
    const page = await open(browser, "about:blank", { allow: [new URL(service.url).host] });
    const session = await page.context().newCDPSession(page);
    await session.send("Network.enable");
    await session.send("Network.emulateNetworkConditions", { offline: false, latency: 150, downloadThroughput: 120_000, uploadThroughput: 60_000 });
    await page.goto(`${service.url}/?archive-overreach`);
    await page.waitForTimeout(500);
    await picture(page, "slow-line");
    await settled(page);
    await page.waitForTimeout(300);
    assert.deepEqual(await page.evaluate(() => window.moved), [], "something moved");
    await page.finish();
  });

  test("quick edits travel together", async () => {
    const page = await bare(await service.demo("archive-editor"));
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
      await page.locator("slipfit-panel .title", { hasText: "while the service was away" }).waitFor({ timeout: 20_000 });
      await settled(page);
      assert.equal(await page.locator("slipfit-panel .notice").textContent(), "");
      await page.finish();
    } finally {
      await other.stop();
    }
  });
});

describe("what is out to harm", () => {
  const long = "W".repeat(10_000);
  const harms = [
    '<img src=x onerror="canary()"><script>canary()</script>"><svg onload=canary()><foreignObject><iframe srcdoc="<script>parent.canary()</script>">',
    "javascript:canary() </style><style>*{display:none}</style> {{constructor.constructor('canary()')()}} ${canary()} &lt;b&gt;",
    "\u202etxet desrever\u2066\u2069", "__proto__", long,
  ];
  /** salt puts harm into every string of a value, by walking it; what tells the panel how to read it stays. */
  const salt = (value, harm, key = "") => {
    if (typeof value === "string") return ["verdict", "relation", "svg"].includes(key) ? value : key === "key" || key === "name" ? value : harm;
    if (Array.isArray(value)) return value.map((v) => salt(v, harm, key));
    if (value && typeof value === "object") return Object.fromEntries(Object.entries(value).map(([k, v]) => [k, salt(v, harm, k)]));
    return value;
  };

  test("every string of build and answer stays text", async () => {
    const build = await service.demo("archive-overreach");
    const answer = await service.check(build, ["clearance.arrangement", "clearance.drawing", "mounting.assembly"]);
    // Every kind of field is in those that are open and some that pass.
    const some = [...answer.findings.filter((f) => f.verdict !== "VERDICT_PASS"), ...answer.findings.filter((f) => f.verdict === "VERDICT_PASS").slice(0, 5)];
    some[0].missing = ["items[3].part.air_cooler.height_mm"];
    const page = await bare(undefined);
    const count = () => inside(page, (root) => [...root.querySelectorAll("*")].filter((e) => ["script", "img", "iframe", "style", "link", "a", "object", "embed", "foreignobject", "form", "base"].includes(e.localName.toLowerCase())).length);
    for (const harm of harms) {
      await page.unroute("**/v1/check");
      const bad = salt({ ...answer, findings: harm === long ? some.slice(0, 6) : some }, harm);
      // A name in a sentence, as the service writes it.
      for (const f of bad.findings) {
        f.summary.arguments = [{ name: "card", value: { word: harm } }];
        f.summary.text = `${harm} is 340 mm long where only 330 mm are free.`;
      }
      await page.route("**/v1/check", (route) => route.fulfill({ json: bad }));
      for (const lang of harm === long ? ["en"] : ["de", "en"]) {
        await page.evaluate((l) => (document.querySelector("slipfit-panel").lang = l), lang);
        await ask(page, { ...salt(build, harm), id: `x-${lang}`, items: salt(build, harm).items.map((item, i) => ({ ...item, id: harm + i })) });
        await page.waitForFunction((l) => document.querySelector("slipfit-panel").answer && document.querySelector("slipfit-panel").shadowRoot.querySelector(".record").lang === l, lang);
        await page.waitForTimeout(80);
        for (const fold of await page.locator("slipfit-panel details > summary").all()) if (await fold.isVisible()) await fold.evaluate((e) => (e.parentElement.open = true));
        await page.waitForTimeout(60);
      }
      assert.equal(await count(), 0, "an element came out of a name");
      assert.ok((await inside(page, (root) => root.querySelector(".say").textContent)).includes(harm.slice(0, 50)), "the name is shown as it is");
      assert.ok((await page.evaluate(() => document.documentElement.scrollWidth)) <= 1280, "the layout broke");
      assert.ok(await inside(page, (root, h) => [...root.querySelectorAll("bdi")].some((b) => b.textContent === h), harm), "names are set apart from the sentence");
      if (harm === long) {
        await picture(page, "ten-thousand-letters");
        assert.ok((await inside(page, (root) => root.querySelector(".head").getBoundingClientRect().height)) < 400, "a long title keeps to its lines");
        assert.ok((await inside(page, (root) => Math.max(...[...root.querySelectorAll(".finding .say")].map((e) => e.getBoundingClientRect().height)))) < 300);
      }
      if (harm.includes("txet")) await picture(page, "reversed");
    }
    await page.finish();
  });

  test("a drawing from a lying service only paints", async () => {
    const build = await service.demo("archive-editor");
    const answer = await service.check(build, ["clearance.drawing"]);
    // No policy helps the page here.
    const page = await bare(undefined, { policy: false });
    const bodies = {
      script: "<script>canary()</script>",
      foreign: '<foreignObject><body xmlns="http://www.w3.org/1999/xhtml"><img src="x" onerror="canary()"/></body></foreignObject>',
      handler: '<rect width="9" height="9" onclick="canary()" onload="canary()" onmouseover="canary()"/>',
      link: '<a href="javascript:canary()" xmlns:xlink="http://www.w3.org/1999/xlink" xlink:href="http://evil.example/"><text>x</text></a>',
      reference: '<use href="http://evil.example/x.svg#y"/><image href="http://evil.example/x.png"/><rect fill="url(http://evil.example/x)" width="3" height="3"/><rect style="background:url(http://evil.example/y)"/>',
      animation: '<set attributeName="onmouseover" to="canary()"/><animate attributeName="href" values="javascript:canary()"/>',
      styles: "<style>@import 'http://evil.example/a.css';.slipfit-drawing{background:url(http://evil.example/b);position:fixed;inset:0}.slipfit-drawing rect{fill:red;cursor:url(http://evil.example/c),auto}.record{display:none}:host{display:none}.slipfit-drawing,.head{fill:blue}</style>",
      html: '<h1 xmlns="http://www.w3.org/1999/xhtml">Bought!</h1>',
    };
    for (const [name, body] of Object.entries(bodies)) {
      const svg = `<svg xmlns="http://www.w3.org/2000/svg" class="slipfit-drawing" viewBox="0 0 40 30" onload="canary()"><rect id="ok" width="4" height="3" fill="url(#own)"/>${body}</svg>`;
      await page.unroute("**/v1/check");
      await page.route("**/v1/check", (route) => route.fulfill({ json: { ...answer, facts: [{ name: "clearance.drawing", picture: { svg } }] } }));
      await ask(page, { ...build, id: name });
      await page.waitForFunction((id) => document.querySelector("slipfit-panel").shadowRoot.querySelector(".frame svg") && document.querySelector("slipfit-panel").build.id === id, name);
      await page.waitForTimeout(120);
      const left = await inside(page, (root) => {
        const svg = root.querySelector(".frame svg");
        return {
          elements: [...svg.querySelectorAll("*")].map((e) => e.localName).filter((n) => !["rect", "text", "g"].includes(n)),
          attributes: [svg, ...svg.querySelectorAll("*")].flatMap((e) => [...e.attributes]).filter((a) => /^on|href|style/.test(a.name) || /evil|javascript/.test(a.value)).map((a) => a.name),
          styles: root.adoptedStyleSheets.slice(1).flatMap((sheet) => [...sheet.cssRules].map((r) => r.cssText)).join(),
          shown: root.querySelector(".record").checkVisibility(),
        };
      });
      assert.deepEqual([left.elements, left.attributes, left.shown], [[], [], true], name);
      assert.ok(!/evil|import|position|background|cursor|record|host|head/.test(left.styles), `${name}: ${left.styles}`);
    }
    await page.route("**/v1/check", (route) => route.fulfill({ json: { ...answer, facts: [{ name: "clearance.drawing", picture: { svg: "<!DOCTYPE svg [<!ENTITY a 'b'>]><svg xmlns='http://www.w3.org/2000/svg'/>" } }] } }));
    await ask(page, { ...build, id: "doctype" });
    await page.locator("slipfit-panel .frame", { hasText: "cannot be shown" }).waitFor();
    await page.finish();
  });
});

test("two tags in a page of another origin, as the shop's list of origins allows", async () => {
  const folder = join(import.meta.dirname, "../example");
  const pages = createServer(async (request, response) => {
    const name = request.url === "/" ? "index.html" : request.url.slice(1);
    const text = await readFile(join(folder, name), "utf8").catch(() => undefined);
    response.writeHead(text === undefined ? 404 : 200, { "Content-Type": name.endsWith(".json") ? "application/json" : "text/html" });
    response.end(text?.replaceAll("http://127.0.0.1:7482", origin.url));
  });
  await new Promise((done) => pages.listen(0, "127.0.0.1", done));
  const shop = `http://127.0.0.1:${pages.address().port}`;
  const origin = await Service.start("--origins", shop);
  try {
    const page = await open(browser, `${shop}/`, { allow: [new URL(origin.url).host] });
    await settled(page);
    assert.equal(await page.locator("slipfit-panel .stamp").textContent(), "FAIL");
    assert.match(await page.locator('slipfit-panel [data-rule="clearance.cooler-height"]').textContent(), /Dommel 158 stands 158 mm high where only 155 mm are free/);
    await picture(page, "two-tags");
    await accessible(page);
    await page.finish();
    // Another origin is not on the list: the module loads, and the panel tells that it cannot ask.
    const stranger = await browser.newPage();
    await stranger.goto(shop.replace("127.0.0.1", "localhost"));
    await stranger.locator("slipfit-panel .notice", { hasText: "cannot be reached" }).waitFor();
    await stranger.close();
  } finally {
    await origin.stop();
    pages.close();
  }
});

test("budgets", async (t) => {
  // Measured and told, not asserted: times depend on what else the machine does.
  const page = await open(browser, `${service.url}/?archive-overreach`);
  await settled(page);
  await page.reload();
  await settled(page);
  const painted = await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now())))));
  assert.deepEqual(await page.evaluate(() => window.moved), [], "something moved while the page came up");
  const times = await page.evaluate(async () => {
    const panel = document.querySelector("slipfit-panel");
    const out = [];
    for (let i = 0; i < 40; i++) {
      const build = panel.build;
      build.use.fans[0].speed_rpm = 700 + i;
      await new Promise((done) => setTimeout(done, 120));
      const from = performance.now();
      panel.build = build;
      await new Promise((done) => document.addEventListener("slipfit-answer", done, { once: true }));
      await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
      out.push(performance.now() - from);
    }
    return out.sort((a, b) => a - b);
  });
  t.diagnostic(`page with answer painted ${painted.toFixed(0)} ms after navigation began; edit to painted answer: median ${times[20].toFixed(1)} ms, 90 % within ${times[36].toFixed(1)} ms`);
  assert.equal(times.length, 40);
  await page.finish();
});
