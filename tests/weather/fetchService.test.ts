import { expect, test } from 'vitest';
import { z } from 'zod';
import { startReceiver } from '../relay/receiver.ts';
import { read } from '../support/api.ts';
import { startService, type TestService, tempFolder } from '../support/service.ts';

const HOUR_MS = 3_600_000;
const WeatherView = z.looseObject({
  forecast: z.looseObject({ source: z.string(), by: z.string() }).nullable(),
  fetch: z.looseObject({ url: z.string(), ok: z.boolean(), detail: z.string().nullable() }).nullable(),
});
const given = (service: TestService) =>
  [...service.live.ledger.entries()].filter(({ entry }) => entry.kind === 'forecast.given').length;

test('a fetched forecast goes on record, shows with its age and its host, and is not given again at the next start', async () => {
  using folder = tempFolder();
  await using source = await startReceiver();
  const fromMs = Math.floor(Date.now() / HOUR_MS) * HOUR_MS;
  const hours = Array.from({ length: 48 }, (_, hour) => ({ at: new Date(fromMs + hour * HOUR_MS).toISOString(), celsius: 3.5 }));
  source.otherwise = { status: 200, body: JSON.stringify({ hours }) };
  const forecast = { url: `${source.url}/f?key=query-secret`, shape: null, header: null };
  for (const start of [1, 2]) {
    await using service = await startService({ dataFolder: folder.path, forecast });
    await expect.poll(async () => (await read(service, '/api/forecast', WeatherView)).fetch?.ok).toBe(true);
    const view = await read(service, '/api/forecast', WeatherView);
    expect(view).toMatchObject({
      forecast: { source: source.host, by: 'forecast fetch' },
      fetch: { url: source.host, detail: null },
    });
    expect(JSON.stringify(view)).not.toContain('query-secret');
    expect([start, source.received.length, given(service), service.said]).toEqual([start, start, 1, []]);
  }
});

test('without a source nothing is fetched', async () => {
  await using service = await startService();
  expect((await read(service, '/api/forecast', WeatherView)).fetch).toBeNull();
});
