import { execFile } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { promisify } from 'node:util';

import { describe, expect, it } from 'vitest';

import { acceptMessage, MESSAGE_BYTES_MOST } from '../../edge/intake/accept.ts';
import { inUnits, QUANTITIES, type QuarantineReason, TIME_BASES } from '../../edge/intake/quantities.ts';
import { RECORDS_MAX } from '../../edge/intake/senml.ts';
import { Mapping } from '../../edge/site/mapping.ts';
import { TestBroker } from './broker.ts';

const notes = readFileSync(join(import.meta.dirname, '..', '..', 'firmware-notes', 'README.md'), 'utf8');
const blocks = (language: string) =>
  [...notes.matchAll(new RegExp(`\`\`\`${language}\\n(.*?)\`\`\``, 'gs'))].map(([, text]) => text ?? '');

const nowMs = Date.parse('2026-01-15T18:10:00Z');

/** What the real intake makes of a payload that arrives at `arrivalMs`. */
function taken(
  payload: string,
  arrivalMs = nowMs,
  { retained = false, repeated = false, mapping }: { retained?: boolean; repeated?: boolean; mapping?: Mapping } = {},
) {
  const bytes = Buffer.from(payload);
  const message = {
    probe: 'n-base-a',
    payload: bytes,
    bytes: bytes.length,
    retained,
    repeated,
    mapping,
    arrival: { wallMs: arrivalMs, monoMs: 0 },
  };
  const { readings, setAside } = acceptMessage(message, { site: 'site', boot: 1, clockTrusted: true });
  return {
    readings: readings.map(({ quantity, atMs, value, basis }) => ({
      quantity: QUANTITIES[quantity],
      agoS: (arrivalMs - atMs) / 1000,
      value: inUnits(quantity, value),
      basis: TIME_BASES[basis],
    })),
    reasons: setAside.map(({ reason }) => reason),
  };
}

describe('the messages in the firmware notes', () => {
  it('are taken, and mean what the text beside them says', () => {
    const temperature = (agoS: number, value: number, basis: string) => ({ quantity: 'temperature', agoS, value, basis });
    expect(blocks('json').map((payload) => taken(payload))).toEqual([
      { readings: [temperature(0, 7.25, 'arrival')], reasons: [] },
      {
        readings: [
          temperature(600, 7.25, 'own'),
          temperature(540, 7.188, 'own'),
          temperature(480, 7.125, 'own'),
          { quantity: 'battery-volts', agoS: 480, value: 3.61, basis: 'own' },
        ],
        reasons: [],
      },
      {
        readings: [temperature(0, 7.25, 'arrival'), { quantity: 'humidity', agoS: 0, value: 81, basis: 'arrival' }],
        reasons: [],
      },
      {
        readings: [temperature(120, 7.25, 'relative'), temperature(60, 7.188, 'relative'), temperature(0, 7.125, 'arrival')],
        reasons: [],
      },
      { readings: [{ quantity: 'resistance', agoS: 0, value: 103.903, basis: 'arrival' }], reasons: [] },
      { readings: [{ quantity: 'level', agoS: 0, value: 1.247775, basis: 'arrival' }], reasons: [] },
    ]);
  });

  it('of a device that cannot be changed are taken through the mapping that stands below them', () => {
    const { kind, ...entry } = JSON.parse(blocks('json mapping')[0] ?? '') as Mapping & { kind: string };
    expect(kind).toBe('probe.mapped');
    const mapping = Mapping.parse(entry);
    expect(taken(blocks('json device')[0] ?? '', nowMs, { mapping })).toEqual({
      readings: [
        { quantity: 'temperature', agoS: 599.877, value: 7.25, basis: 'own' },
        { quantity: 'humidity', agoS: 599.877, value: 81.5, basis: 'own' },
      ],
      reasons: [],
    });
  });

  it('name every unit that a mapping may have', () => {
    const [line = ''] = notes.match(/^- Units: .*$/m) ?? [];
    const listed = line
      .slice('- Units: '.length)
      .split('; ')
      .flatMap((part) => {
        const quantity = part.split(' ')[0];
        return [...part.matchAll(/`(.+?)`/g)].map(([, unit]) => [quantity, unit]);
      });
    expect(listed).toHaveLength(15);
    for (const [quantity, unit] of listed) {
      const fields = [{ pointer: '', quantity, unit }];
      expect([quantity, unit, Mapping.safeParse({ probe: 'p1', topic: 'a', fields }).success]).toEqual([quantity, unit, true]);
    }
  });

  it('include the one that the summary at the top gives', () => {
    const payload = notes.match(/send `(\[.*?\])`/)?.[1] ?? '';
    expect(taken(payload)).toEqual({
      readings: [{ quantity: 'temperature', agoS: 0, value: 7.25, basis: 'arrival' }],
      reasons: [],
    });
  });

  it('name the limits that are in force', () => {
    expect(MESSAGE_BYTES_MOST).toBe(64 * 1024);
    expect(RECORDS_MAX).toBe(10_000);
    expect(notes).toContain('at most 64 KiB and 10,000 records');
    const reading = (quantity: string, unit: string, value: number) =>
      taken(`[{"n":"${quantity}","u":"${unit}","v":${value}}]`).reasons;
    for (const [, quantity, units, least, most] of notes.matchAll(/^\| `(\w+)` \| (`.+`) \| (\S+) to (\S+) \|$/gm)) {
      const [low, high] = [Number(least?.replace('−', '-')), Number(most)];
      for (const [, unit] of units?.matchAll(/`(.+?)`/g) ?? []) {
        expect(reading(quantity ?? '', unit ?? '', low)).toEqual([]);
        expect(reading(quantity ?? '', unit ?? '', high)).toEqual([]);
        expect(reading(quantity ?? '', unit ?? '', low - 0.1)).toEqual(['out-of-range']);
        expect(reading(quantity ?? '', unit ?? '', high + 0.1)).toEqual(['out-of-range']);
      }
    }
    expect([...notes.matchAll(/^\| `\w+` \| `.+` \| \S+ to \S+ \|$/gm)]).toHaveLength(5);
  });
});

describe('the table of what is set aside', () => {
  /** What provokes each reason, by the text of its row; null where it takes more than one message or another topic. */
  const provoked: Record<QuarantineReason, string[] | null> = {
    retained: taken('[{"n":"temperature","u":"Cel","v":7}]', nowMs, { retained: true }).reasons,
    malformed: taken('[{"n":"temperature","u":"Cel","v":null}]').reasons,
    'too-large': taken(`[{"n":"temperature","u":"Cel","v":7}${' '.repeat(64 * 1024)}]`).reasons,
    'unknown-quantity': taken('[{"n":"temp","u":"Cel","v":7}]').reasons,
    'wrong-unit': taken('[{"n":"temperature","v":7}]').reasons,
    'out-of-range': taken('[{"n":"temperature","u":"Cel","v":-127}]').reasons,
    'time-out-of-range': taken(`[{"n":"temperature","u":"Cel","t":${nowMs},"v":7}]`).reasons,
    ambiguous: taken('[{"n":"air:temperature","u":"Cel","v":20},{"n":"joint:temperature","u":"Cel","v":7}]').reasons,
    repeated: taken('[{"n":"temperature","u":"Cel","v":7}]', nowMs, { repeated: true }).reasons,
    'conflicting-duplicate': null,
    'wrong-topic': null,
    'too-often': null,
  };

  it('lists every reason, and each comes as it says', () => {
    const rows = [...notes.matchAll(/^\| `([a-z-]+)` \| (?!`).*\| .* \|$/gm)].map(([, reason]) => reason);
    expect(rows).toEqual(Object.keys(provoked));
    for (const [reason, reasons] of Object.entries(provoked)) if (reasons !== null) expect(reasons).toEqual([reason]);
  });

  it('does not set a power-on value aside, as the notes admit', () => {
    expect(taken('[{"n":"temperature","u":"Cel","v":85.0}]').reasons).toEqual([]);
  });
});

describe('the command lines in the firmware notes', () => {
  it('work as they stand', async () => {
    const [settings, ...commands] = blocks('sh');
    expect(settings).toContain('KEY=');
    const broker = new TestBroker();
    await broker.start(0, 'the site’s probe key');
    const variables = {
      HOST: '127.0.0.1',
      PORT: String(broker.port),
      SITE: 'site',
      PROBE: 'n-base-a',
      KEY: 'the site’s probe key',
    };
    expect(Object.keys(variables).every((name) => settings?.includes(`${name}=`))).toBe(true);
    try {
      for (const command of commands) {
        if (command.includes('mosquitto_pub'))
          await promisify(execFile)('sh', ['-e', '-c', command], { env: { ...process.env, ...variables }, timeout: 20_000 });
      }
    } finally {
      await broker.stop();
    }
    expect(broker.on('/status')).toEqual([
      { topic: 'cure/site/probe/n-base-a/status', payload: 'online', qos: 1, retain: true, client: 'site-n-base-a' },
    ]);
    const packs = broker.on('/senml');
    expect(packs.every(({ topic, qos, retain }) => topic === 'cure/site/probe/n-base-a/senml' && qos === 1 && !retain)).toBe(
      true,
    );
    const arrivals = packs.map(({ payload }) => taken(payload, Date.now()));
    expect(arrivals.map(({ readings, reasons }) => [readings.length, ...reasons])).toEqual([[1], [4], [2], [0, 'wrong-unit']]);
    expect(arrivals[1]?.readings.map(({ agoS }) => agoS)).toEqual([180, 120, 60, 0]);
    // `date +%s` is cut to the second, and a moment has passed since.
    expect(arrivals[2]?.readings.map(({ agoS, basis }) => [agoS >= 0 && agoS < 90, basis])).toEqual(Array(2).fill([true, 'own']));
  });
});
