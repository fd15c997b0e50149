import { expect } from 'vitest';
import { CodedError } from '../../edge/errors.ts';
import { type By, Statement } from '../../edge/site/entries.ts';
import { crew, HandSite } from '../support/handSite.ts';

const START_MS = Date.parse('2026-05-04T08:00:00Z');

/** A site with one sump and one laminate joint on one probe, nothing laid up yet. */
export async function oneJointSite(): Promise<HandSite> {
  const site = await HandSite.start(START_MS);
  await site.say({ kind: 'sump.added', sump: 's1', label: 'North' });
  await site.say({ kind: 'probe.registered', probe: 'p1', role: 'material', uncertaintyCelsius: 0.5 });
  await site.say({ kind: 'joint.added', joint: 'j1', sump: 's1', label: 'One', schedule: 'polyester-laminate', probes: ['p1'] });
  return site;
}

/** The refusal or question; null: it was taken. */
export async function answerOf(
  site: HandSite,
  said: object,
  by: By = crew,
): Promise<{ code: string; paths: string[]; confirm: string[]; text: string } | null> {
  const fault = await site.say(said, by).then(
    () => null,
    (thrown: unknown) => thrown,
  );
  if (fault === null) return null;
  if (!(fault instanceof CodedError)) throw fault;
  const { code, faults, message } = fault;
  return { code, paths: faults.map(({ path }) => path), confirm: faults.flatMap(({ confirm }) => confirm ?? []), text: message };
}

/** Faults of the schema alone, before anything on the site is looked at. */
export function pathsOf(said: object): string[] {
  const read = Statement.safeParse(said);
  return read.success ? [] : read.error.issues.map(({ path }) => path.join('.'));
}

/** Taken after it was asked about and said yes to, and not on any other word. */
export async function expectAskedOf(site: HandSite, said: object, code: string, path: string, by: By = crew): Promise<string> {
  const before = [...site.live.ledger.entries()].length;
  const asked = await answerOf(site, said, by);
  expect(asked).toMatchObject({ code: 'entry-questioned', paths: [path], confirm: [code] });
  const another = code === 'before-sump' ? 'too-cold' : 'before-sump';
  expect(await answerOf(site, { ...said, confirmed: [another] }, by)).toMatchObject({
    code: 'entry-questioned',
    confirm: [code],
  });
  expect([...site.live.ledger.entries()]).toHaveLength(before);
  expect(await answerOf(site, { ...said, confirmed: [code] }, by)).toBeNull();
  expect([...site.live.ledger.entries()].at(-1)?.entry).toMatchObject({ confirmed: [code] });
  return asked?.text ?? '';
}

/** Work on the joint as it should be, now unless told otherwise. */
export const prepOf = (site: HandSite, more: object = {}) => ({
  kind: 'prep.signed',
  joint: 'j1',
  at: site.at(),
  sanded: true,
  wiped: true,
  dry: true,
  ...more,
});
export const mixOf = (site: HandSite, more: object = {}) => ({
  kind: 'mix.recorded',
  joint: 'j1',
  at: site.at(),
  resin: { value: 1, unit: 'quart' },
  catalystMillilitres: 15,
  resinCelsius: 18,
  ...more,
});
export const laidUpOf = (site: HandSite, more: object = {}) => ({ kind: 'joint.laidUp', joint: 'j1', at: site.at(), ...more });
