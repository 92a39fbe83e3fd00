// What is wrong with a document, from an error.

import { detailsOf, fieldsOf } from "./details.js";

/** FieldViolation is one thing that is wrong with a document. */
export interface FieldViolation {
  /** Path in the request, such as "build.items[2].part.fan.size_mm". */
  path: string;
  /** What is wrong there, in a sentence. */
  reason: string;
}

/** violationsOf gives what an INVALID_ARGUMENT says of a document by google.rpc.BadRequest; nothing for other errors. */
export function violationsOf(error: unknown): FieldViolation[] {
  const text = (message: Uint8Array, number: number) => new TextDecoder().decode(fieldsOf(message, number)[0]);
  return detailsOf(error, "google.rpc.BadRequest")
    .flatMap((bad) => fieldsOf(bad, 1))
    .map((violation) => ({ path: text(violation, 1), reason: text(violation, 2) }));
}
