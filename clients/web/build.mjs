// Builds what browsers load into dist. "--check" compares instead, and fails where
// dist is not what the sources say.
import { build, transform } from "esbuild";
import { mkdir, readFile, writeFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import { gzipSync } from "node:zlib";

const here = import.meta.dirname;
const out = join(here, "dist");
const check = process.argv.includes("--check");

/** Style sheets become text that is small already. */
const styles = {
  name: "styles",
  setup(b) {
    b.onLoad({ filter: /panel\.css$/ }, async ({ path }) => {
      const { code } = await transform(await readFile(path, "utf8"), {
        loader: "css",
        minify: true,
        target: "chrome123",
      });
      return { contents: code.trim(), loader: "text" };
    });
  },
};

const options = {
  bundle: true,
  minify: true,
  format: "esm",
  target: "es2022",
  charset: "utf8",
  write: false,
  legalComments: "none",
  plugins: [styles],
  logLevel: "warning",
};

async function bundle(entry) {
  const { outputFiles } = await build({ ...options, entryPoints: [join(here, entry)], outfile: "out.js" });
  return outputFiles[0].text;
}

const files = {
  "slipfit-panel.js": await bundle("panel/src/index.ts"),
  "slipfit-panel-de.js": await bundle("panel/src/german/index.ts"),
  "shop.js": await bundle("shop/src/index.ts"),
  "shop.css": (
    await transform(await readFile(join(here, "shop/src/shop.css"), "utf8"), {
      loader: "css",
      minify: true,
      target: "chrome123",
    })
  ).code,
  "index.html": await readFile(join(here, "shop/src/index.html"), "utf8"),
  "icon.svg": await readFile(join(here, "shop/src/icon.svg"), "utf8"),
};

const stale = [];
for (const [name, text] of Object.entries(files)) {
  const file = join(out, name);
  const old = await readFile(file, "utf8").catch(() => "");
  if (old === text) continue;
  stale.push(name);
  if (check) continue;
  await mkdir(dirname(file), { recursive: true });
  await writeFile(file, text);
}
// Each language is counted on its own: a page loads one at most.
const most = { "slipfit-panel.js": 20000, "slipfit-panel-de.js": 40000 };
for (const [name, limit] of Object.entries(most)) {
  const bytes = gzipSync(files[name], { level: 9 }).length;
  console.log(`${name}: ${bytes} bytes gzipped of ${limit}`);
  if (bytes > limit) {
    console.error(`${name} is larger than ${limit} bytes gzipped; take something out.`);
    process.exitCode = 1;
  }
}
if (check && stale.length) {
  console.error(`dist is stale: ${stale.join(", ")}; run npm run build in clients/web and commit what it writes.`);
  process.exitCode = 1;
}
