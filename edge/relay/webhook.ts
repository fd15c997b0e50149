import { createHash } from 'node:crypto';
import type { Now } from '../clock/clock.ts';
import { HOUR_MS } from '../cure/schedule.ts';
import type { NumberedEntry } from '../ledger/leaves.ts';
import type { Entry } from '../site/entries.ts';
import { type Spans, waitMs } from './backOff.ts';
import { reasonOf } from './reason.ts';
import { signedHeaders } from './signature.ts';

/** Where word of warnings goes. The address may hold a key, so only its host is ever shown. */
export interface WebhookSettings {
  readonly url: string;
  readonly key: Uint8Array;
}

/** What the webhook needs of the ledger and of the machine; handed in, so that tests need no time. */
export interface WebhookParts {
  readonly site: string;
  readonly settings: WebhookSettings;
  readonly ledger: {
    /** Entries after leaf `seq`, in ledger order. */
    entriesAfter(seq: number): Iterable<NumberedEntry>;
    /** Up to which leaf the relay of this name has sent; 0 before its first. */
    cursor(name: string): number;
  };
  /** Resolves when the cursor is on the disk. */
  readonly keepCursor: (name: string, seq: number) => Promise<void>;
  readonly fetch: typeof globalThis.fetch;
  /** Resolves after `ms`, or at once when the signal aborts. */
  readonly sleep: (ms: number, signal: AbortSignal) => Promise<void>;
  /** From 0 up to 1. */
  readonly chance: () => number;
  readonly now: () => Now;
  readonly log: (line: string) => void;
  /** A receiver that has not answered by then is given up for this time; 10 s unless told otherwise. */
  readonly answerMs?: number;
}

const KINDS = ['warning.raised', 'warning.ended', 'warning.acknowledged', 'warning.snoozed'] as const;
type WarningEntry = Extract<Entry, { kind: (typeof KINDS)[number] }>;

const ANSWER_MS = 10_000;
/** It is woken when there are new warnings; this is for the day when nobody did. */
const IDLE_MS = 10 * 60_000;
const AFTER_FAILURE: Spans = { firstMs: 2_000, longestMs: 10 * 60_000 };
/** What the receiver does not want is offered again so often at most … */
const REFUSALS_MOST = 5;
/** … and nobody is helped by word of a warning that is older. */
const AGE_MOST_MS = 24 * HOUR_MS;
/** Where the receiver breaks down over one again and again, so many of those behind it are offered. */
const LOOKED_PAST_MOST = 5;
const REQUEST_TIMEOUT = 408;
const TOO_MANY_REQUESTS = 429;
/** They speak of the receiver as a whole: bad gateway, unavailable, gateway timeout. */
const OUTAGES: readonly number[] = [502, 503, 504];
const TOLD_MOST = 300;

/** The receiver was reached, and does not want what it was sent. */
class Refusal extends Error {}

/** The receiver was reached, and breaks down over what it was sent, or altogether. */
class Breakdown extends Error {}

/** An entry that is to be sent. */
interface Word {
  readonly seq: number;
  readonly entry: WarningEntry;
}

/** How it goes with the entry that is first in line. */
interface Offered {
  readonly seq: number;
  /** On the monotonic clock. */
  readonly fromMonoMs: number;
  refusals: number;
  breakdowns: number;
}

/** Up to where all is sent or given up, and whether the last one was taken. */
interface Done {
  readonly seq: number;
  readonly taken: boolean;
}

/**
 * Tells another system of every warning, in ledger order: raised, ended, acknowledged, snoozed. Only when the receiver has said
 * that it took one, or it was given up with a word in the log, is the cursor kept; so a crash sends some twice, under the same id,
 * and none never. At its very first start it begins with what is still to come. Nothing else ever waits for it.
 */
export class Webhook {
  readonly #parts: WebhookParts;
  readonly #host: string;
  readonly #cursor: string;
  readonly #stopping = new AbortController();
  #running: Promise<void> = Promise.resolve();
  #nap = new AbortController();
  readonly #started: Now;
  #seq: number;
  #failures = 0;
  #first: Offered | null = null;
  #told: string | null = null;

  /** Goes on where the last run left off. */
  static start(parts: WebhookParts): Webhook {
    const webhook = new Webhook(parts);
    webhook.#running = webhook.#run();
    return webhook;
  }

  private constructor(parts: WebhookParts) {
    const { settings, ledger } = parts;
    this.#parts = parts;
    this.#host = new URL(settings.url).host;
    // Of the address a hash, because it may hold a key and the ledger is copied about.
    this.#cursor = `webhook ${this.#host} ${createHash('sha256').update(settings.url).digest('hex').slice(0, 16)}`;
    this.#started = parts.now();
    this.#seq = ledger.cursor(this.#cursor);
  }

  /** There may be new warnings. A wait after a failure is not cut short. */
  wake(): void {
    this.#nap.abort();
  }

  /** Gives up what is under way; it is sent again at the next start. */
  async stop(): Promise<void> {
    this.#stopping.abort();
    await this.#running;
  }

  async #run(): Promise<void> {
    while (!this.#stopping.signal.aborted) {
      // Made before the pass, so that no call during it is lost.
      this.#nap = new AbortController();
      let idleMs = IDLE_MS;
      const wakers = [this.#stopping.signal];
      try {
        if (this.#seq === 0) await this.#begin();
        await this.#sendAll();
        wakers.push(this.#nap.signal);
      } catch (fault) {
        idleMs = this.#failed(fault);
      }
      await this.#parts.sleep(idleMs, AbortSignal.any(wakers));
    }
  }

  /** At the very first start: what was before is nobody's business any more. */
  async #begin(): Promise<void> {
    let last = 0;
    for (const { seq } of this.#parts.ledger.entriesAfter(0)) last = seq;
    await this.#parts.keepCursor(this.#cursor, last);
    this.#seq = last;
  }

  async #sendAll(): Promise<void> {
    while (!this.#stopping.signal.aborted) {
      const next = await this.#next();
      if (next === null) return;
      if (this.#first?.seq !== next.seq)
        this.#first = { seq: next.seq, fromMonoMs: this.#parts.now().monoMs, refusals: 0, breakdowns: 0 };
      const { seq, taken } = await this.#offer(next, this.#first);
      await this.#parts.keepCursor(this.#cursor, seq);
      this.#seq = seq;
      this.#first = null;
      if (taken) this.#worked();
    }
  }

  /** The first in line. What is too old is left out, all of it at once. */
  async #next(): Promise<Word | null> {
    const old: WarningEntry[] = [];
    let next: Word | null = null;
    for (const { seq, entry } of this.#parts.ledger.entriesAfter(this.#seq)) {
      if (isOfWarning(entry)) {
        if (!this.#isTooOld(seq, entry)) {
          next = { seq, entry };
          break;
        }
        old.push(entry);
      }
      this.#seq = seq;
    }
    const [first] = old;
    if (first === undefined) return next;
    const others = old.length === 1 ? '' : ` and ${old.length - 1} more after it`;
    const lastly = this.#told === null ? '' : ` (${this.#told})`;
    this.#giveUp(first, others, `it could not be delivered within 24 hours${lastly}`);
    await this.#parts.keepCursor(this.#cursor, this.#seq);
    return next;
  }

  /** By the clock that is behind: one that was set ahead makes nothing old. Where one was set back, by how long it was tried. */
  #isTooOld(seq: number, { recordedAt }: WarningEntry): boolean {
    const { wallMs, monoMs } = this.#parts.now();
    const nowMs = Math.min(wallMs, this.#started.wallMs + monoMs - this.#started.monoMs);
    const triedMs = this.#first?.seq === seq ? monoMs - this.#first.fromMonoMs : 0;
    return Math.max(nowMs - Date.parse(recordedAt), triedMs) >= AGE_MOST_MS;
  }

  /** Sends one, or gives it up for good. Throws to have it tried again. */
  async #offer({ seq, entry }: Word, offered: Offered): Promise<Done> {
    try {
      await this.#send(seq, entry);
      return { seq, taken: true };
    } catch (fault) {
      if (this.#stopping.signal.aborted) throw fault;
      if (fault instanceof Refusal && ++offered.refusals > REFUSALS_MOST) {
        this.#giveUp(entry, '', `it was refused ${offered.refusals} times (${told(fault)})`);
        return { seq, taken: false };
      }
      if (fault instanceof Breakdown && ++offered.breakdowns > REFUSALS_MOST) {
        const passed = await this.#lookPast(seq);
        if (passed !== null) {
          this.#giveUp(entry, passed.others, `the receiver breaks down over it and takes what comes after it (${told(fault)})`);
          return { seq: passed.seq, taken: true };
        }
      }
      throw fault;
    }
  }

  /** The first one behind `seq` that the receiver takes; null: none, so it is out altogether. */
  async #lookPast(seq: number): Promise<{ readonly seq: number; readonly others: string } | null> {
    let looked = 0;
    for (const next of this.#parts.ledger.entriesAfter(seq)) {
      if (!isOfWarning(next.entry)) continue;
      if (looked === LOOKED_PAST_MOST) return null;
      try {
        await this.#send(next.seq, next.entry);
        return { seq: next.seq, others: looked === 0 ? '' : ` and ${looked} more after it` };
      } catch (fault) {
        if (!(fault instanceof Breakdown)) return null;
        looked++;
      }
    }
    return null;
  }

  #giveUp({ kind, warning }: WarningEntry, others: string, why: string): void {
    this.#parts.log(`WEBHOOK: ${kind} of "${warning}"${others} is not sent to ${this.#host}: ${why}`);
  }

  async #send(seq: number, entry: WarningEntry): Promise<void> {
    const { site, settings, fetch, now, answerMs = ANSWER_MS } = this.#parts;
    const body = JSON.stringify(messageOf(site, entry));
    const late = AbortSignal.timeout(answerMs);
    let status: number;
    try {
      const response = await fetch(settings.url, {
        method: 'POST',
        headers: {
          'content-type': 'application/json',
          ...signedHeaders(settings.key, idOf(site, seq), Math.floor(now().wallMs / 1000), body),
        },
        body,
        redirect: 'manual',
        signal: AbortSignal.any([late, this.#stopping.signal]),
      });
      status = response.status;
      await response.body?.cancel();
    } catch (fault) {
      throw late.aborted ? new Error(`no answer within ${answerMs / 1000} s`) : fault;
    }
    if (status >= 200 && status < 300) return;
    const message = `it answers ${status}${status >= 300 && status < 400 ? '; set the address that it redirects to' : ''}`;
    if (isRefusal(status)) throw new Refusal(message);
    throw status >= 500 && !OUTAGES.includes(status) ? new Breakdown(message) : new Error(message);
  }

  #worked(): void {
    if (this.#told !== null) this.#parts.log(`WEBHOOK: ${this.#host} takes warnings again`);
    this.#told = null;
    this.#failures = 0;
  }

  /** Returns how long to wait, ms. The same reason is told once. */
  #failed(fault: unknown): number {
    if (this.#stopping.signal.aborted) return 0;
    this.#failures++;
    const why = told(fault);
    if (this.#told !== why) this.#parts.log(`WEBHOOK: ${this.#host} takes no warnings (${why}); they are sent again`);
    this.#told = why;
    return waitMs(this.#failures, this.#parts.chance(), AFTER_FAILURE);
  }
}

function isOfWarning(entry: Entry): entry is WarningEntry {
  return (KINDS as readonly string[]).includes(entry.kind);
}

/** The same however often it is sent. A full stop divides what is signed, so it may not stand in an id; a tilde stands in no site's. */
function idOf(site: string, seq: number): string {
  return `${site.replaceAll('.', '~')}:${seq}`;
}

function messageOf(site: string, { kind, recordedAt, by, ...said }: WarningEntry): object {
  const data = by.role === 'system' ? said : { ...said, by: by.name };
  return { type: kind, site, at: recordedAt, data };
}

/** Sending it again cannot help, but for the answers that say so. */
function isRefusal(status: number): boolean {
  return status >= 400 && status < 500 && status !== REQUEST_TIMEOUT && status !== TOO_MANY_REQUESTS;
}

function told(fault: unknown): string {
  return reasonOf(fault).replace(/\s+/g, ' ').slice(0, TOLD_MOST);
}
