// Asks the service by types that are generated from its OpenAPI document alone. A route,
// a field or a word that the document does not have is an error of the compiler.
import createClient from "openapi-fetch";
import { readFileSync } from "node:fs";
import type { components, paths } from "./document.js";

const [url, file] = process.argv.slice(2) as [string, string];
const check: components["schemas"]["CheckRequest"] = JSON.parse(readFileSync(file, "utf8"));
const client = createClient<paths>({ baseUrl: url });

const fail = (text: string): never => {
  console.error(text);
  process.exit(1);
};

const { data, error, response } = await client.POST("/v1/check", { body: check });
if (error) fail(error.detail);
const first = data!.findings![0]!;
const etag = response.headers.get("etag") ?? fail("the answer has no ETag");

const again = await client.POST("/v1/check", { body: check, params: { header: { "If-None-Match": etag } } });
if (again.response.status !== 304) fail(`the same question with its ETag is answered by ${again.response.status}`);

const rule = await client.GET("/v1/rules/{rule}", { params: { path: { rule: first.rule! } } });
if (rule.data?.rule?.id !== first.rule) fail(`the rule ${first.rule} is not explained`);

const bad = await client.POST("/v1/check", { body: { ...check, wants: ["no.such-fact"] } });
const why: string = bad.error?.violations?.[0]?.path ?? fail("a bad question is not refused by its path");

console.log(JSON.stringify({ verdict: data!.verdict, findings: data!.findings!.length, refused: why }));
