// The panel alone on a page, under the policy that the service gives its own pages.
import { open } from "./browser.mjs";

/** bare opens a page with nothing but the panel; a script sets the build. */
export async function bare(browser, service, build, { html = "", attributes = "", policy = true, ...options } = {}) {
  const url = `${service.url}/bare`;
  const page = await open(browser, "about:blank", { ...options, allow: [new URL(service.url).host] });
  const head = (await fetch(`${service.url}/`)).headers.get("content-security-policy");
  await page.route(url, (route) =>
    route.fulfill({
      contentType: "text/html",
      headers: policy ? { "content-security-policy": head } : {},
      body: `<!doctype html><html lang="en" ${html}><meta name="viewport" content="width=device-width"><title>Bare</title><script type="module" src="/slipfit-panel.js"></script><main><h1>Basket</h1><slipfit-panel ${attributes}></slipfit-panel></main>`,
    }),
  );
  await page.goto(url);
  if (build) await ask(page, build);
  return page;
}
/** ask puts a build on the panel. */
export const ask = (page, build) =>
  page.evaluate((b) => void (document.querySelector("slipfit-panel").build = b), build);
/** inside runs a function on the panel's shadow root. */
export const inside = (page, f, argument) =>
  page.evaluate(`(${f})(document.querySelector("slipfit-panel").shadowRoot, ${JSON.stringify(argument ?? null)})`);
