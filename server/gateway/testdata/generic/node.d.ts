// The few things of Node that the client uses, in place of its whole types.
declare const process: { argv: string[]; exit(code: number): never };
declare module "node:fs" {
  export function readFileSync(file: string, encoding: "utf8"): string;
}
