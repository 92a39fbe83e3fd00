// A real service for the tests: the program built from this tree, on ports of its own.
import { execFile, spawn } from "node:child_process";
import { rmSync } from "node:fs";
import { mkdtemp } from "node:fs/promises";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { promisify } from "node:util";

const root = join(import.meta.dirname, "../../..");
const folder = await mkdtemp(join(tmpdir(), "slipfit-web-"));
// SLIPFIT names a program that is built already, as "npm test" does once for all files.
const program = process.env.SLIPFIT ?? join(folder, "slipfit");
process.on("exit", () => rmSync(folder, { recursive: true, force: true }));

let built;
const build = () =>
  (built ??= process.env.SLIPFIT
    ? Promise.resolve()
    : promisify(execFile)("go", ["build", "-o", program, "./clients/slipfit"], { cwd: root }));

/** freePort gives a port of the loopback interface that nothing listens on. */
export function freePort() {
  return new Promise((done, fail) => {
    const server = createServer().once("error", fail);
    server.listen(0, "127.0.0.1", () => {
      const { port } = server.address();
      server.close(() => done(port));
    });
  });
}

/** Service is one `slipfit serve`, which can be stopped and started again in the same place. */
export class Service {
  static async start(...flags) {
    await build();
    const service = new Service();
    service.port = await freePort();
    service.grpc = await freePort();
    service.flags = flags;
    service.url = `http://127.0.0.1:${service.port}`;
    await service.again();
    return service;
  }

  /** again starts the program and waits until it answers. */
  async again() {
    this.log = "";
    this.processes = [
      spawn(
        program,
        [
          "serve",
          "--http",
          `127.0.0.1:${this.port}`,
          "--listen",
          `127.0.0.1:${this.grpc}`,
          "--operations",
          "",
          ...this.flags,
        ],
        { stdio: ["ignore", "ignore", "pipe"] },
      ),
    ];
    for (const p of this.processes) p.stderr.on("data", (text) => (this.log += text));
    for (let tries = 0; ; tries++) {
      const answer = await fetch(`${this.url}/demo/builds.json`).catch(() => undefined);
      if (answer?.ok && (await this.check((await answer.json())[0].build).catch(() => undefined))?.verdict) return;
      if (tries > 200 || this.processes.some((p) => p.exitCode !== null))
        throw new Error(`the service did not start:\n${this.log}`);
      await new Promise((done) => setTimeout(done, 50));
    }
  }

  async stop() {
    await Promise.all(
      this.processes.map(
        (p) => new Promise((done) => (p.exitCode !== null ? done() : p.once("exit", done).kill("SIGTERM"))),
      ),
    );
  }

  async check(build, wants = []) {
    const answer = await fetch(`${this.url}/v1/check`, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ build, wants }),
    });
    return answer.json();
  }

  /** demo gives a build of the demo. */
  async demo(id) {
    return (await (await fetch(`${this.url}/demo/builds.json`)).json()).find((d) => d.build.id === id).build;
  }
}
