// Holds an OpenAPI document against the standard's own schema and rules.
//   validate.mjs NODE_MODULES DOCUMENT
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

const [modules, file] = process.argv.slice(2);
const load = async (name) => import(pathToFileURL(createRequire(`${modules}/x.js`).resolve(name)));
const { validate, compileErrors } = await load("@readme/openapi-parser");

const result = await validate(file);
if (!result.valid) {
  console.error(compileErrors(result));
  process.exit(1);
}
console.log(`${result.specification} is valid`);
