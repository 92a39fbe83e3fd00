// Asking again. A call is made again only when the service says that it did not
// take it on: unavailable, or no room now. Deadlines, refusals and faults stand.

import { fromBinary } from "@bufbuild/protobuf";
import { DurationSchema, durationMs } from "@bufbuild/protobuf/wkt";
import { Code, ConnectError, type Interceptor } from "@connectrpc/connect";
import { detailsOf, fieldsOf } from "./details.js";

const first = 100; // ms before the second try, doubled for each further one
const longest = 2_000; // ms

/** retrying makes unary calls up to a number of times, with waits that spread callers out. */
export function retrying(tries: number): Interceptor {
  return (next) => async (request) => {
    for (let made = 1; ; made++) {
      try {
        return await next(request);
      } catch (error) {
        const reason = ConnectError.from(error);
        if (
          request.stream ||
          made >= tries ||
          request.signal.aborted ||
          !(reason.code === Code.Unavailable || reason.code === Code.ResourceExhausted)
        )
          throw error;
        await sleep(askedFor(reason) ?? spread(made), request.signal);
      }
    }
  };
}

/** spread is a random wait up to a bound that doubles with each try. */
const spread = (made: number): number => Math.random() * Math.min(longest, first * 2 ** made);

/** askedFor is the wait in ms that the service asks for by google.rpc.RetryInfo, whose field 1 is a Duration. */
function askedFor(error: ConnectError): number | undefined {
  const delay = detailsOf(error, "google.rpc.RetryInfo").flatMap((info) => fieldsOf(info, 1))[0];
  return delay && Math.min(longest * 5, Math.max(0, durationMs(fromBinary(DurationSchema, delay))));
}

function sleep(ms: number, signal: AbortSignal): Promise<void> {
  return new Promise((done, fail) => {
    const end = () => {
      clearTimeout(timer);
      fail(signal.reason);
    };
    const timer = setTimeout(() => {
      signal.removeEventListener("abort", end);
      done();
    }, ms);
    signal.addEventListener("abort", end, { once: true });
  });
}
