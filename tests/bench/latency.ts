// From publishing a reading to the event in a real browser that shows it or a newer one of the same probe.
import { setTimeout as sleep } from 'node:timers/promises';
import { chromium } from 'playwright-core';
import { addJoint } from '../support/api.ts';
import { BROWSER } from '../support/browser.ts';
import { mqttClient, senmlTopic } from '../support/probe.ts';
import { spawnService } from '../support/service.ts';
import { residentMb } from './child.ts';
import { print, quantile } from './table.ts';

const PROBES = 50;
const JOINTS = 10;
const PER_SECOND = 500;
const SECONDS = 20;
const TICK_MS = 20;

interface Seen {
  readonly probe: string;
  readonly atMs: number;
  readonly seenMs: number;
}

/** Runs in the page: signs in, listens, and notes when each probe's newest reading is told. */
const WATCH = async (token: string) => {
  const headers = { 'content-type': 'application/json' };
  await fetch('/api/session', { method: 'POST', headers, body: JSON.stringify({ name: 'Bench', token }) });
  const seen: Seen[] = [];
  Object.assign(globalThis, { seen });
  const events = new EventSource('/api/live');
  events.addEventListener('probe', (event) => {
    const view = JSON.parse((event as MessageEvent).data as string) as { probe: string; latest: { at: string } };
    seen.push({ probe: view.probe, atMs: Date.parse(view.latest.at), seenMs: performance.timeOrigin + performance.now() });
  });
  await new Promise((resolve) => events.addEventListener('beat', resolve, { once: true }));
};

export async function latency(): Promise<void> {
  await using service = await spawnService();
  const probes = Array.from({ length: PROBES }, (_, index) => `probe-${index}`);
  for (let joint = 0; joint < JOINTS; joint++) {
    const own = probes.filter((_, index) => index % JOINTS === joint);
    await addJoint(service, { joint: `joint-${joint}`, probes: own, laidUpMs: Date.now() });
  }
  const browser = await chromium.launch(BROWSER);
  try {
    const page = await browser.newPage();
    await page.goto(service.httpUrl);
    await page.evaluate(WATCH, service.token);

    const client = await mqttClient(service);
    const published: { probe: string; atMs: number }[] = [];
    let next = 0;
    const startedMs = Date.now();
    while (Date.now() - startedMs < SECONDS * 1000) {
      const due = ((Date.now() - startedMs) / 1000) * PER_SECOND;
      for (; published.length < due; next = (next + 1) % PROBES) {
        const probe = probes[next] as string;
        // A probe is heard ten times a second here, so its instants never coincide.
        const atMs = Date.now();
        client.publish(
          senmlTopic(probe),
          JSON.stringify([{ n: 'temperature', u: 'Cel', v: 10 + (published.length % 16) / 16, t: atMs / 1000 }]),
          { qos: 1 },
        );
        published.push({ probe, atMs });
      }
      await sleep(TICK_MS);
    }
    await sleep(1_000);
    await client.endAsync();
    const seen = await page.evaluate<Seen[]>('window.seen');
    const waits = published.map(({ probe, atMs }) => {
      const first = seen.find((event) => event.probe === probe && event.atMs >= atMs);
      return first === undefined ? Number.POSITIVE_INFINITY : first.seenMs - atMs;
    });
    waits.sort((a, b) => a - b);
    const p99 = quantile(waits, 0.99);
    const rate = `${PER_SECOND} readings/s`;
    print({
      what: `publish to browser event at ${rate}, median of ${published.length}`,
      figure: `${quantile(waits, 0.5).toFixed(0)} ms`,
    });
    print({ what: '  99 of 100 within', figure: `${p99.toFixed(0)} ms`, goal: { text: '< 150 ms', met: p99 < 150 } });
    const mb = residentMb(service.pid);
    print({
      what: '  resident memory of the service then',
      figure: `${mb.toFixed(0)} MB`,
      goal: { text: '< 150 MB', met: mb < 150 },
    });
  } finally {
    await browser.close();
  }
}
