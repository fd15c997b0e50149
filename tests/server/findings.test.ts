import type { MqttClient } from 'mqtt';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { pt100Ohms } from '../../edge/cure/sensors/pt100.ts';
import { FINDING_CODES, type FindingCode, RULES } from '../../edge/site/findings/catalogue.ts';
import { testAndBackfill } from '../../edge/site/sequence.ts';
import type { FindingView } from '../../edge/site/views/finding.ts';
import { JointView } from '../../edge/site/views/joint.ts';
import { SiteView } from '../../edge/site/views/site.ts';
import { SumpView } from '../../edge/site/views/sump.ts';
import { ask, problemOf, read } from '../support/api.ts';
import { type Buffered, type Course, degrees, mild, publishPast } from '../support/past.ts';
import { mqttClient } from '../support/probe.ts';
import { startService, type TestService } from '../support/service.ts';

let service: TestService;
let client: MqttClient;
const nowMs = Date.now();
const at = (hour: number) => new Date(nowMs + hour * 3_600_000).toISOString();

type By = 'crew' | 'quality' | 'claims';
const post = (body: object, by: By) => ask(service, '/api/entries', { method: 'POST', body, token: service.roleTokens[by] });

async function say(body: object, by: By = 'crew'): Promise<void> {
  const response = await post(body, by);
  if (response.status !== 201) throw new Error(`${JSON.stringify(body)}: ${await response.text()}`);
}

async function sump(): Promise<SumpView> {
  const site = await read(service, '/api/site', SiteView);
  return SumpView.parse(site.sumps.find((one) => one.sump === 's2'));
}

/** Seven hours to stress and eight to water: long enough for every kind of finding to show. */
const [laminate] = builtInSchedules;
const yard = {
  ...laminate,
  name: 'yard-laminate',
  version: 1,
  author: 'Q. Fir',
  proofBelow: { celsius: 7, hours: 0.75 },
  hotAboveCelsius: 40,
  stages: [
    { stage: 'stress', requiredHours: 7 },
    { stage: 'hydro', requiredHours: 8 },
  ],
};

/** The order of work of sumps that name none, and before it something that waits for a word of its own. */
const shored = {
  ...testAndBackfill,
  name: 'yard-shored',
  version: 1,
  author: 'Q. Fir',
  activities: [
    {
      activity: 'shore',
      label: 'Shore the pit',
      needs: [{ need: 'hold', hold: 'walls-seen', label: 'The walls were looked at' }],
    },
    ...testAndBackfill.activities,
  ],
};

beforeAll(async () => {
  service = await startService();
  client = await mqttClient(service);
  await say({ kind: 'schedule.given', reason: 'a trial', definition: yard }, 'quality');
  const standIn = { ...yard, name: 'yard-stand-in', ambientStandIn: true };
  await say({ kind: 'schedule.given', reason: 'a trial', definition: standIn }, 'quality');
  await say({ kind: 'sequence.given', reason: 'a trial', definition: shored }, 'quality');
  await say({ kind: 'sump.added', sump: 's2', label: 'South', sequence: shored.name });
});
afterAll(async () => {
  await client.endAsync();
  await service[Symbol.asyncDispose]();
});

async function waterTestState(): Promise<string | undefined> {
  return (await sump()).activities.find(({ waterTest }) => waterTest)?.state;
}

const LAID_UP = -10;
interface Plan {
  readonly joint: string;
  readonly schedule?: string;
  readonly prep?: object | null;
  readonly mix?: object;
  readonly laidUpHour?: number;
  readonly sensor?: object;
  readonly buffered?: readonly Buffered[];
  /** Further probes by name: with their role, and what they buffered. */
  readonly others?: Readonly<Record<string, { readonly role: 'material' | 'ambient'; readonly course: Course }>>;
  /** Without a probe on the material. */
  readonly bare?: boolean;
}

/** A joint by the book, but for what the plan says, whose readings up to half an hour ago clear it for water. */
async function make(plan: Plan): Promise<void> {
  const { joint, schedule = 'yard-laminate', prep = {}, laidUpHour = LAID_UP, others = {}, bare = false } = plan;
  const { sensor = { kind: 'digital' }, buffered = [degrees(mild)] } = plan;
  const own = bare ? [] : [`on-${joint}`];
  for (const probe of own) await say({ kind: 'probe.registered', probe, role: 'material', sensor });
  for (const [probe, { role }] of Object.entries(others)) await say({ kind: 'probe.registered', probe, role });
  const materials = Object.entries(others).flatMap(([name, { role }]) => (role === 'material' ? [name] : []));
  const air = Object.entries(others).find(([, { role }]) => role === 'ambient')?.[0];
  await say({
    kind: 'joint.added',
    joint,
    sump: 's2',
    label: joint,
    schedule,
    probes: [...own, ...materials],
    ...(air === undefined ? {} : { ambient: air }),
  });
  for (const probe of own) await publishPast(client, probe, buffered, nowMs, laidUpHour - 0.2, -0.5);
  for (const [probe, { course }] of Object.entries(others))
    await publishPast(client, probe, [degrees(course)], nowMs, laidUpHour - 0.2, -0.5);
  if (prep !== null)
    await say({ kind: 'prep.signed', joint, at: at(laidUpHour - 0.15), sanded: true, wiped: true, dry: true, ...prep });
  const resin = { resin: { value: 1, unit: 'quart' }, catalystMillilitres: 15, resinCelsius: 18 };
  await say({ kind: 'mix.recorded', joint, at: at(laidUpHour - 0.1), ...resin, ...plan.mix });
  await say({ kind: 'joint.laidUp', joint, at: at(laidUpHour) });
}

const between =
  (from: number, to: number, then: number): Course =>
  (hour) =>
    hour >= from && hour <= to ? then : mild(hour);
/** Steps of five minutes and 4 °C: a joint may warm and cool so fast, and no jump is seen. */
const hill =
  (top: number): Course =>
  (hour) => {
    const away = Math.abs(hour + 6) * 12;
    return Math.max(mild(hour) ?? 0, top - 4 * away);
  };
const swinging: Course = (hour) => 16 + 4 * Math.sin((2 * Math.PI * hour) / 8);

interface Case {
  readonly bring: () => Promise<void>;
  /** What settles it, if it is not plain acceptance. */
  readonly settle?: (finding: FindingView) => Promise<void>;
}

const CASES: Readonly<Record<Exclude<FindingCode, 'clock-step'>, Case>> = {
  'mix-outside-band': { bring: () => make({ joint: 'mixed', mix: { catalystMillilitres: 5 } }) },
  'material-out-of-range': { bring: () => make({ joint: 'cold-can', mix: { resinCelsius: 10 } }) },
  'prep-missing': { bring: () => make({ joint: 'unwiped', prep: null }) },
  'dew-risk': {
    bring: () => make({ joint: 'dewy', prep: { surfaceCelsius: 22.9, airCelsius: 30, humidityPercent: 55 } }),
  },
  rain: {
    bring: async () => {
      await make({ joint: 'wet', laidUpHour: -11 });
      await say({ kind: 'rain.noted', at: at(-10.95), until: at(-10.9), sump: 's2' });
    },
  },
  'cold-before-gel': {
    bring: () => make({ joint: 'chilled', buffered: [degrees((hour) => (hour < -9.6 ? 5 : hour < -9.5 ? 11 : mild(hour)))] }),
  },
  'below-proof': {
    bring: () => make({ joint: 'cool', buffered: [degrees(between(-7, -6, 7))] }),
    settle: async ({ id }) => {
      const proof = { kind: 'proof.recorded', joint: 'cool', at: at(-0.2), hardness: { readings: [36, 36], makerMinimum: 40 } };
      const decide = { kind: 'finding.decided', finding: id, decision: 'proof', reason: 'it is hard' };
      const refused = async () => expect((await problemOf(await post(decide, 'quality'))).code).toBe('entry-refused');
      await refused();
      // Hard enough, but nobody has wiped it.
      await say(proof);
      await refused();
      await say({ ...proof, surface: 'firm' });
      await say(decide, 'quality');
    },
  },
  'proof-failed': {
    bring: async () => {
      await make({ joint: 'soft' });
      await say({ kind: 'proof.recorded', joint: 'soft', at: at(-1), surface: 'tacky' });
    },
  },
  gap: { bring: () => make({ joint: 'silent', buffered: [degrees((hour) => (hour > -6 && hour < -5.5 ? null : mild(hour)))] }) },
  provisional: {
    bring: () =>
      make({ joint: 'unwatched', schedule: 'yard-stand-in', bare: true, others: { sky: { role: 'ambient', course: mild } } }),
  },
  'hot-joint': { bring: () => make({ joint: 'hot', buffered: [degrees(hill(45))] }) },
  'probe-detached': {
    bring: () =>
      make({ joint: 'loose', buffered: [degrees(swinging)], others: { breeze: { role: 'ambient', course: swinging } } }),
  },
  'probe-frozen': { bring: () => make({ joint: 'stuck', buffered: [degrees(between(-9.5, -3, 16))] }) },
  'probe-jump': {
    bring: () => make({ joint: 'bumped', buffered: [degrees((hour) => (mild(hour) ?? 0) + (hour < -6 ? 0 : 12))] }),
  },
  'probes-apart': {
    bring: () => make({ joint: 'uneven', others: { 'far-end': { role: 'material', course: (hour) => (mild(hour) ?? 0) + 8 } } }),
  },
  'power-on-value': { bring: () => make({ joint: 'restarted', buffered: [degrees(between(-6.04, -5.96, 85))] }) },
  'off-curve': {
    bring: () =>
      make({
        joint: 'wired',
        sensor: { kind: 'pt100', tolerance: 'A' },
        buffered: [
          {
            quantity: 'resistance',
            unit: 'Ohm',
            course: (hour) => (hour > -6.05 && hour < -5.95 ? 400 : pt100Ohms(mild(hour) ?? 0)),
          },
        ],
      }),
  },
  'battery-low': {
    bring: () => make({ joint: 'tired', buffered: [degrees(mild), { quantity: 'battery', unit: '%EL', course: () => 12 }] }),
  },
  'calibration-overdue': {
    bring: async () => {
      await make({ joint: 'unchecked' });
      const points = [
        { referenceCelsius: 0, indicatedCelsius: 0 },
        { referenceCelsius: 40, indicatedCelsius: 40 },
      ];
      const calibration = {
        points,
        referenceUncertaintyCelsius: 0.1,
        reference: 'ice bath',
        on: at(-30).slice(0, 10),
        by: 'R. Oak',
      };
      await say({ kind: 'calibration.recorded', probe: 'on-unchecked', at: at(-30), dueAt: at(-9), calibration }, 'quality');
    },
  },
  'stage-lost': {
    bring: async () => {
      await make({ joint: 'redone', prep: { surfaceCelsius: 22.9, airCelsius: 30, humidityPercent: 55 } });
      await expect.poll(async () => (await stagesOf('redone')).every(({ reachedAt }) => reachedAt !== null)).toBe(true);
      const dew = (await findingsOn('redone')).find(({ code }) => code === 'dew-risk');
      await say({ kind: 'finding.decided', finding: dew?.id, decision: 'redo', reason: 'grind it off', at: at(-9.7) }, 'quality');
      expect((await read(service, '/api/joints/redone', JointView)).phase).toBe('void');
      await say({ kind: 'prep.signed', joint: 'redone', at: at(-9.6), sanded: true, wiped: true, dry: true });
      await say({ kind: 'joint.relaid', joint: 'redone', at: at(-9.5), reason: 'dew' });
    },
  },
  'started-early': {
    bring: () => say({ kind: 'activity.started', sump: 's2', activity: 'shore', at: at(-0.1), reason: 'rain is coming' }),
  },
};

async function findingsOn(joint: string): Promise<FindingView[]> {
  return (await read(service, `/api/joints/${joint}`, JointView)).findings;
}
const stagesOf = async (joint: string) => (await read(service, `/api/joints/${joint}`, JointView)).stages;

/** Whether the hours of every stage of every joint are there. */
async function clearedHours(): Promise<boolean> {
  const { joints } = await read(service, '/api/site', SiteView);
  return joints.every(({ stages }) => stages.every(({ reachedAt }) => reachedAt !== null));
}

/** Every open finding on the sump and its joints. */
async function openFindings(): Promise<FindingView[]> {
  const site = await read(service, '/api/site', SiteView);
  return [...site.sumps, ...site.joints].flatMap(({ findings }) => findings).filter(({ open }) => open);
}

describe('a sump is stopped by each kind of finding, and goes on only after the right decision by the right role', () => {
  test('without any, water may go in', async () => {
    await make({ joint: 'plain' });
    await expect.poll(waterTestState, { timeout: 5000 }).toBe('ready');
    expect(await openFindings()).toEqual([]);
  });

  test.each(Object.entries(CASES) as [FindingCode, Case][])('%s', { timeout: 20_000 }, async (code, { bring, settle }) => {
    const start = { kind: 'activity.started', sump: 's2', activity: 'water-test', at: at(-0.05) };
    const { severity, mayDecide } = RULES[code];
    await bring();
    const codesOpen = async () => [...new Set((await openFindings()).map((finding) => finding.code))];
    await expect.poll(codesOpen, { timeout: 8000 }).toEqual([code]);
    await expect.poll(clearedHours, { timeout: 8000 }).toBe(true);
    const findings = await openFindings();
    const [finding] = findings;
    if (finding === undefined) throw new Error('it is gone');
    expect(finding).toMatchObject({ severity, mayDecide, sump: 's2' });
    const ids = findings.map(({ id }) => id);

    if (severity !== 'note') {
      await expect.poll(waterTestState, { timeout: 5000 }).toBe('waiting');
      expect((await sump()).undecided).toEqual(ids);
      const refused = await problemOf(await post(start, 'crew'));
      expect(refused).toMatchObject({ code: 'entry-refused', faults: [{ path: 'reason' }] });
      expect(refused.detail).toMatch(ids.length === 1 ? /1 finding waits for a decision/ : /2 findings wait for a decision/);
    }
    if (severity === 'stop') {
      const { phase, stages } = await read(service, `/api/joints/${finding.joint}`, JointView);
      expect(phase).not.toBe('hydroReady');
      expect(stages.at(-1)).toMatchObject({ reachedAt: expect.any(String), blockedBy: [findings.at(-1)?.id] });
    }

    const accept = (id: string) => ({ kind: 'finding.decided', finding: id, decision: 'accept', reason: 'looked at it' });
    const wrong = mayDecide.includes('crew') ? 'claims' : 'crew';
    expect((await problemOf(await post(accept(finding.id), wrong))).code).toBe('wrong-role');
    expect((await openFindings()).map(({ id }) => id)).toEqual(ids);

    if (settle) await settle(finding);
    else for (const id of ids) await say(accept(id), mayDecide.includes('crew') ? 'crew' : 'quality');
    await expect.poll(openFindings).toEqual([]);
    await expect.poll(waterTestState, { timeout: 5000 }).toBe('ready');
    if (finding.joint !== null) expect((await read(service, `/api/joints/${finding.joint}`, JointView)).phase).toBe('hydroReady');
  });

  test('that is all kinds there are, but for a step of the clock, which nobody brings about over HTTP', () => {
    expect([...Object.keys(CASES), 'clock-step'].sort()).toEqual([...FINDING_CODES].sort());
  });
});
