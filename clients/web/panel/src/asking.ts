// Asking the service: quick edits travel together, a newer question ends an older
// one, and a service that is gone is asked again until it is back.

import type { Answer, Violation } from "./answer.js";

export type State =
  | { is: "rest" }
  | { is: "asking" }
  | { is: "slow" }
  | { is: "away"; again: number }
  | { is: "refused"; reason: string; violations: Violation[] };

/** Refused is a question that the service will not take, however often it is asked. */
export class Refused extends Error {
  constructor(
    reason: string,
    readonly violations: Violation[],
  ) {
    super(reason);
  }
}

/** Away is a service that cannot be reached or has no room now. */
class Away extends Error {
  constructor(readonly seconds: number) {
    super("away");
  }
}

const answerWithin = 20_000; // ms; a check takes some ten, and the service gives up a pack after two seconds
const slowAfter = 700;
const quiet = 40; // ms between two questions at least
const atOnce = -1; // in place of a timer's number
const kept = 12; // answers that are kept, for ways back and forth

/** post sends a question once. It throws Refused, Away, or the signal's reason. */
export async function post(address: string, body: string, signal: AbortSignal, etag?: string): Promise<Response> {
  const late = AbortSignal.timeout(answerWithin);
  let response: Response;
  try {
    response = await fetch(address, {
      method: "POST",
      body,
      headers: { "Content-Type": "application/json", ...(etag ? { "If-None-Match": etag } : {}) },
      signal: AbortSignal.any([signal, late]),
      credentials: "omit",
      referrerPolicy: "no-referrer",
      cache: "no-store",
    });
  } catch (error) {
    if (signal.aborted) throw error;
    throw new Away(0);
  }
  if (response.ok || response.status === 304) return response;
  if (response.status === 429 || response.status >= 500)
    throw new Away(Number(response.headers.get("Retry-After")) || 0);
  const problem = await response.json().catch(() => ({}));
  throw new Refused(
    String(problem.detail ?? problem.message ?? problem.title ?? response.status),
    Array.isArray(problem.violations) ? problem.violations : [],
  );
}

/** Asker keeps one question on its way, the newest. */
export class Asker {
  #address = "";
  #question: unknown;
  #body = "";
  #timer = 0;
  #asked = Number.NEGATIVE_INFINITY;
  #took = quiet;
  #tries = 0;
  #way: AbortController | undefined;
  #answers = new Map<string, { etag: string; answer: Answer }>();

  constructor(
    readonly onAnswer: (answer: Answer, question: any) => void,
    readonly onState: (state: State) => void,
  ) {}

  /**
   * ask asks soon: at once when nothing was asked lately, else as soon as the
   * service can keep up with, and then only the newest question.
   */
  ask(address: string, question: unknown): void {
    this.#address = address;
    this.#question = question;
    this.#body = JSON.stringify(question);
    this.#tries = 0;
    if (this.#timer) return;
    this.#after(Math.max(0, this.#asked + Math.min(1000, this.#took * 1.2) - performance.now()));
  }

  /** now asks at once what was asked last, as when the network is back. */
  now(): void {
    if (this.#body) this.#after(0);
  }

  /** stop forgets the question, and what is on its way. */
  stop(): void {
    clearTimeout(this.#timer);
    this.#timer = 0;
    this.#way?.abort();
  }

  #after(ms: number): void {
    clearTimeout(this.#timer);
    const send = (): void => {
      this.#timer = 0;
      void this.#send();
    };
    if (ms > 0) {
      this.#timer = window.setTimeout(send, ms);
      return;
    }
    // At once, yet after what a page still sets in the same breath.
    this.#timer = atOnce;
    queueMicrotask(() => this.#timer === atOnce && send());
  }

  async #send(): Promise<void> {
    this.#way?.abort();
    const way = (this.#way = new AbortController());
    const key = this.#address + this.#body;
    const old = this.#answers.get(key);
    const question = this.#question;
    const slow = setTimeout(() => this.onState({ is: "slow" }), slowAfter);
    this.#asked = performance.now();
    this.onState({ is: "asking" });
    try {
      const response = await post(this.#address, this.#body, way.signal, old?.etag);
      const answer: Answer = response.status === 304 && old ? old.answer : await response.json();
      if (way !== this.#way) return;
      this.#took = Math.max(quiet, performance.now() - this.#asked);
      this.#keep(key, response.headers.get("ETag"), answer);
      this.#tries = 0;
      this.onState({ is: "rest" });
      this.onAnswer(answer, question);
    } catch (error) {
      if (way !== this.#way || way.signal.aborted) return;
      if (error instanceof Refused)
        this.onState({ is: "refused", reason: error.message, violations: error.violations });
      else this.#again(error instanceof Away ? error.seconds : 0);
    } finally {
      clearTimeout(slow);
    }
  }

  #again(seconds: number): void {
    const wait = Math.max(seconds, Math.min(15, 2 ** this.#tries++)) * (0.8 + 0.4 * Math.random());
    this.onState({ is: "away", again: wait });
    this.#after(wait * 1000);
  }

  #keep(key: string, etag: string | null, answer: Answer): void {
    this.#answers.delete(key);
    if (etag) this.#answers.set(key, { etag, answer });
    for (const oldest of this.#answers.keys()) {
      if (this.#answers.size <= kept) break;
      this.#answers.delete(oldest);
    }
  }
}
