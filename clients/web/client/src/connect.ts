// The client: a transport, a deadline for every call, and retries.

import { Code, ConnectError, createClient, type Client, type Interceptor, type Transport } from "@connectrpc/connect";
import { createConnectTransport } from "@connectrpc/connect-web";
import { CheckService } from "../gen/slipfit/v1/check_service_pb.js";
import { PackService } from "../gen/slipfit/v1/pack_service_pb.js";
import { SheetService } from "../gen/slipfit/v1/sheet_service_pb.js";
import { ShortlistService } from "../gen/slipfit/v1/shortlist_service_pb.js";
import { retrying } from "./retry.js";

/** ConnectOptions say where the service is and how patient calls are. */
export interface ConnectOptions {
  /** Where the service answers over HTTP, such as "https://fit.example". */
  baseUrl: string;
  /** Milliseconds that a call may take in all, retries included. Default 5000. */
  deadlineMs?: number;
  /** How often a call is made at most. Default 3; 1 never asks again. */
  tries?: number;
  /** Tenant whose policies hold, sent as the header slipfit-tenant. */
  tenant?: string;
  /** Another way to call, for tests and for other protocols. */
  transport?: Transport;
}

/** CallOptions are those of a single call. */
export interface CallOptions {
  /** Ends the call. */
  signal?: AbortSignal;
  /** Milliseconds that the call may take in all, instead of the client's. */
  timeoutMs?: number;
}

/** Slipfit calls one service. All its unary calls only ask: making one twice changes nothing. */
export interface Slipfit {
  /** Whether the parts of a build go together. */
  readonly check: Client<typeof CheckService>["check"];
  /** Which candidates fit a build in one role, best first. */
  readonly shortlist: Client<typeof ShortlistService>["shortlist"];
  /** The printable record of a build. */
  readonly makeSheet: Client<typeof SheetService>["makeSheet"];
  /** Which packs serve, and their rules. */
  readonly listPacks: Client<typeof PackService>["listPacks"];
  /** What one rule asks for, and why. */
  readonly describeRule: Client<typeof PackService>["describeRule"];
}

/** connect gives a client. It opens nothing until the first call. */
export function connect(options: ConnectOptions): Slipfit {
  const interceptors: Interceptor[] = [retrying(options.tries ?? 3)];
  if (options.tenant !== undefined) interceptors.unshift(naming(options.tenant));
  const transport =
    options.transport ??
    createConnectTransport({
      baseUrl: options.baseUrl,
      useBinaryFormat: true,
      defaultTimeoutMs: options.deadlineMs ?? 5000,
      interceptors,
      fetch: reaching,
    });
  const checks = createClient(CheckService, transport);
  const shortlists = createClient(ShortlistService, transport);
  const sheets = createClient(SheetService, transport);
  const packs = createClient(PackService, transport);
  return {
    check: checks.check,
    shortlist: shortlists.shortlist,
    makeSheet: sheets.makeSheet,
    listPacks: packs.listPacks,
    describeRule: packs.describeRule,
  };
}

/** reaching fetches, and tells a service that cannot be reached by its code. */
const reaching: typeof globalThis.fetch = async (input, init) => {
  try {
    return await globalThis.fetch(input, { ...init, credentials: "omit" });
  } catch (error) {
    if (init?.signal?.aborted) throw error;
    throw new ConnectError("The service cannot be reached.", Code.Unavailable, undefined, undefined, error);
  }
};

const naming =
  (tenant: string): Interceptor =>
  (next) =>
  (request) => {
    request.header.set("slipfit-tenant", tenant);
    return next(request);
  };
