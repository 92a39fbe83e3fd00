// What the panel does with texts and drawings that are out to harm.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { ask, bare, inside } from "./bare.mjs";
import { launch, picture } from "./browser.mjs";
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

describe("what is out to harm", () => {
  const long = "W".repeat(10_000);
  const harms = [
    '<img src=x onerror="canary()"><script>canary()</script>"><svg onload=canary()><foreignObject><iframe srcdoc="<script>parent.canary()</script>">',
    "javascript:canary() </style><style>*{display:none}</style> {{constructor.constructor('canary()')()}} ${canary()} &lt;b&gt;",
    "\u202etxet desrever\u2066\u2069",
    "__proto__",
    long,
  ];
  /** salt puts harm into every string of a value, by walking it; what tells the panel how to read it stays. */
  const salt = (value, harm, key = "") => {
    if (typeof value === "string")
      return ["verdict", "relation", "svg"].includes(key) ? value : key === "key" || key === "name" ? value : harm;
    if (Array.isArray(value)) return value.map((v) => salt(v, harm, key));
    if (value && typeof value === "object")
      return Object.fromEntries(Object.entries(value).map(([k, v]) => [k, salt(v, harm, k)]));
    return value;
  };

  test("every string of build and answer stays text", async () => {
    const build = await service.demo("archive-overreach");
    const answer = await service.check(build, ["clearance.arrangement", "clearance.drawing", "mounting.assembly"]);
    // Every kind of field is in those that are open and some that pass.
    const some = [
      ...answer.findings.filter((f) => f.verdict !== "VERDICT_PASS"),
      ...answer.findings.filter((f) => f.verdict === "VERDICT_PASS").slice(0, 5),
    ];
    some[0].missing = ["items[3].part.air_cooler.height_mm"];
    const page = await bare(browser, service, undefined);
    const count = () =>
      inside(
        page,
        (root) =>
          [...root.querySelectorAll("*")].filter((e) =>
            [
              "script",
              "img",
              "iframe",
              "style",
              "link",
              "a",
              "object",
              "embed",
              "foreignobject",
              "form",
              "base",
            ].includes(e.localName.toLowerCase()),
          ).length,
      );
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
        await ask(page, {
          ...salt(build, harm),
          id: `x-${lang}`,
          items: salt(build, harm).items.map((item, i) => ({ ...item, id: harm + i })),
        });
        await page.waitForFunction(
          (l) =>
            document.querySelector("slipfit-panel").answer &&
            document.querySelector("slipfit-panel").shadowRoot.querySelector(".record").lang === l,
          lang,
        );
        await page.waitForTimeout(80);
        await inside(page, (root) => root.querySelectorAll("details").forEach((fold) => (fold.open = true)));
        await page.waitForTimeout(60);
      }
      assert.equal(await count(), 0, "an element came out of a name");
      assert.ok(
        (await inside(page, (root) => root.querySelector(".say").textContent)).includes(harm.slice(0, 50)),
        "the name is shown as it is",
      );
      assert.ok((await page.evaluate(() => document.documentElement.scrollWidth)) <= 1280, "the layout broke");
      assert.ok(
        await inside(page, (root, h) => [...root.querySelectorAll("bdi")].some((b) => b.textContent === h), harm),
        "names are set apart from the sentence",
      );
      if (harm === long) {
        await picture(page, "ten-thousand-letters");
        assert.ok(
          (await inside(page, (root) => root.querySelector(".head").getBoundingClientRect().height)) < 400,
          "a long title keeps to its lines",
        );
        assert.ok(
          (await inside(page, (root) =>
            Math.max(...[...root.querySelectorAll(".finding .say")].map((e) => e.getBoundingClientRect().height)),
          )) < 300,
        );
      }
      if (harm.includes("txet")) await picture(page, "reversed");
    }
    await page.finish();
  });

  test("a drawing from a lying service only paints", async () => {
    const build = await service.demo("archive-editor");
    const answer = await service.check(build, ["clearance.drawing"]);
    // No policy helps the page here.
    const page = await bare(browser, service, undefined, { policy: false });
    const bodies = {
      script: "<script>canary()</script>",
      foreign:
        '<foreignObject><body xmlns="http://www.w3.org/1999/xhtml"><img src="x" onerror="canary()"/></body></foreignObject>',
      handler: '<rect width="9" height="9" onclick="canary()" onload="canary()" onmouseover="canary()"/>',
      link: '<a href="javascript:canary()" xmlns:xlink="http://www.w3.org/1999/xlink" xlink:href="http://evil.example/"><text>x</text></a>',
      reference:
        '<use href="http://evil.example/x.svg#y"/><image href="http://evil.example/x.png"/><rect fill="url(http://evil.example/x)" width="3" height="3"/><rect style="background:url(http://evil.example/y)"/>',
      animation:
        '<set attributeName="onmouseover" to="canary()"/><animate attributeName="href" values="javascript:canary()"/>',
      styles:
        "<style>@import 'http://evil.example/a.css';.slipfit-drawing{background:url(http://evil.example/b);position:fixed;inset:0}.slipfit-drawing rect{fill:red;cursor:url(http://evil.example/c),auto}.record{display:none}:host{display:none}.slipfit-drawing,.head{fill:blue}</style>",
      html: '<h1 xmlns="http://www.w3.org/1999/xhtml">Bought!</h1>',
    };
    for (const [name, body] of Object.entries(bodies)) {
      const svg = `<svg xmlns="http://www.w3.org/2000/svg" class="slipfit-drawing" viewBox="0 0 40 30" onload="canary()"><rect id="ok" width="4" height="3" fill="url(#own)"/>${body}</svg>`;
      await page.unroute("**/v1/check");
      await page.route("**/v1/check", (route) =>
        route.fulfill({ json: { ...answer, facts: [{ name: "clearance.drawing", picture: { svg } }] } }),
      );
      await ask(page, { ...build, id: name });
      await page.waitForFunction(
        (id) =>
          document.querySelector("slipfit-panel").shadowRoot.querySelector(".frame svg") &&
          document.querySelector("slipfit-panel").build.id === id,
        name,
      );
      await page.waitForTimeout(120);
      const left = await inside(page, (root) => {
        const svg = root.querySelector(".frame svg");
        return {
          elements: [...svg.querySelectorAll("*")]
            .map((e) => e.localName)
            .filter((n) => !["rect", "text", "g"].includes(n)),
          attributes: [svg, ...svg.querySelectorAll("*")]
            .flatMap((e) => [...e.attributes])
            .filter((a) => /^on|href|style/.test(a.name) || /evil|javascript/.test(a.value))
            .map((a) => a.name),
          styles: root.adoptedStyleSheets
            .slice(1)
            .flatMap((sheet) => [...sheet.cssRules].map((r) => r.cssText))
            .join(),
          shown: root.querySelector(".record").checkVisibility(),
        };
      });
      assert.deepEqual([left.elements, left.attributes, left.shown], [[], [], true], name);
      assert.ok(
        !/evil|import|position|background|cursor|record|host|head/.test(left.styles),
        `${name}: ${left.styles}`,
      );
    }
    await page.route("**/v1/check", (route) =>
      route.fulfill({
        json: {
          ...answer,
          facts: [
            {
              name: "clearance.drawing",
              picture: { svg: "<!DOCTYPE svg [<!ENTITY a 'b'>]><svg xmlns='http://www.w3.org/2000/svg'/>" },
            },
          ],
        },
      }),
    );
    await ask(page, { ...build, id: "doctype" });
    await page.locator("slipfit-panel .frame", { hasText: "cannot be shown" }).waitFor();
    await page.finish();
  });
});
