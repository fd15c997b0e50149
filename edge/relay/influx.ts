import { HttpError, InfluxDB, Point as Line, type SendOptions } from '@influxdata/influxdb-client';
import type { InfluxSettings } from '../config.ts';
import { type Engine, EngineRefusal } from './engine.ts';
import type { Point } from './points.ts';

/** One request carries no more. */
const LINES_MOST = 5_000;
/** An engine that has not answered by then is given up for this time. */
const ANSWER_MS = 30_000;
const TOO_MANY_REQUESTS = 429;
const ALL_TAKEN = 204;

/**
 * A time-series engine that takes line protocol at the v2 write address. Uses the client's transport, not its WriteApi: that one
 * keeps a queue and retries of its own, cannot be interrupted, and takes 201 for success, by which some engines say that they
 * took a part.
 */
export class InfluxEngine implements Engine {
  readonly name: string;
  readonly #influx: InfluxDB;
  readonly #path: string;
  readonly #answerMs: number;
  readonly #closing = new AbortController();

  constructor({ url, org, bucket, token }: InfluxSettings, answerMs = ANSWER_MS) {
    this.name = `${url} bucket "${org === '' ? '' : `${org}/`}${bucket}"`;
    // Its own timeout would leave the connection open; the signal of each request ends that too.
    this.#influx = new InfluxDB({ url, token, timeout: 0 });
    this.#path = `/api/v2/write?${new URLSearchParams({ org, bucket, precision: 'ms' })}`;
    this.#answerMs = answerMs;
  }

  async write(points: readonly Point[]): Promise<void> {
    for (let start = 0; start < points.length; start += LINES_MOST)
      await this.#send(
        points
          .slice(start, start + LINES_MOST)
          .map(lineOf)
          .join('\n'),
      );
  }

  close(): void {
    this.#closing.abort();
  }

  async #send(lines: string): Promise<void> {
    const late = AbortSignal.timeout(this.#answerMs);
    const options: SendOptions = {
      method: 'POST',
      headers: { 'content-type': 'text/plain; charset=utf-8' },
      gzipThreshold: 1000,
      signal: AbortSignal.any([late, this.#closing.signal]),
    };
    let status: number | undefined;
    try {
      await this.#influx.transport.request(this.#path, lines, options, (_headers, code) => {
        status = code;
      });
    } catch (fault) {
      if (late.aborted) throw new Error(`no answer within ${this.#answerMs / 1000} s`);
      throw explained(fault as Error);
    }
    if (status !== ALL_TAKEN) throw new EngineRefusal(`it answers ${status}, where ${ALL_TAKEN} says that all was taken`);
  }
}

function lineOf({ measurement, tags, value, atMs }: Point): string {
  const line = new Line(measurement).tag('site', tags.site).tag('probe', tags.probe).floatField('value', value).timestamp(atMs);
  return line.toLineProtocol({ convertTime: String }) as string;
}

function explained(fault: Error): Error {
  if (fault instanceof HttpError) {
    const { statusCode, message } = fault;
    const said = message.startsWith(`${statusCode}`) ? message : `${statusCode} ${message}`;
    return statusCode < 500 && statusCode !== TOO_MANY_REQUESTS ? new EngineRefusal(said) : new Error(said);
  }
  // Where a name has several addresses and none answers, Node leaves the message empty.
  return new Error(fault.message || String((fault as NodeJS.ErrnoException).code));
}
