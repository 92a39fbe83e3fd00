// A basket that changes while it is asked about.

import type { MessageInitShape } from "@bufbuild/protobuf";
import { Code, ConnectError } from "@connectrpc/connect";
import type { CheckRequestSchema, CheckResponse } from "../gen/slipfit/v1/check_service_pb.js";
import type { Slipfit } from "./connect.js";

type Question = MessageInitShape<typeof CheckRequestSchema>;

/** BasketOptions say what becomes of answers. */
export interface BasketOptions {
  /** Takes each answer, with the question that it belongs to. Never an older one after a newer. */
  onAnswer: (answer: CheckResponse, question: Question) => void;
  /** Takes errors of the newest question. What a newer question ended is none. */
  onError?: (error: ConnectError, question: Question) => void;
  /** Milliseconds without an edit before it is asked. Default 30: edits of one hand travel together. */
  quietMs?: number;
}

/**
 * Basket asks about the newest state of something that changes. A newer question
 * ends the older one, on the wire too, so that no answer comes late.
 */
export class Basket {
  #way: AbortController | undefined;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #question: Question | undefined;

  constructor(
    readonly client: Pick<Slipfit, "check">,
    readonly options: BasketOptions,
  ) {}

  /** set puts a question, to be asked when edits pause. */
  set(question: Question): void {
    this.#question = question;
    this.#way?.abort();
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => void this.#ask(), this.options.quietMs ?? 30);
  }

  /** close ends what is on its way. Nothing is told after it. */
  close(): void {
    clearTimeout(this.#timer);
    this.#way?.abort();
    this.#way = undefined;
  }

  async #ask(): Promise<void> {
    const question = this.#question!;
    const way = (this.#way = new AbortController());
    try {
      const answer = await this.client.check(question, { signal: way.signal });
      if (way === this.#way && !way.signal.aborted) this.options.onAnswer(answer, question);
    } catch (error) {
      const reason = ConnectError.from(error);
      if (way === this.#way && !way.signal.aborted && reason.code !== Code.Canceled)
        this.options.onError?.(reason, question);
    }
  }
}
