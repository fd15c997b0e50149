import { about, type HandSite, quality } from '../../support/handSite.ts';
import { layUp, workedSite } from './packing.ts';

const MINUTE_MS = 60_000;
const inches = (value: number) => ({ value, unit: 'in' });

/** Ohms of a Pt100 about this temperature: 0.39 Ω to the degree is near enough for work on a joint. */
const ohms = (celsius: number) => (hour: number) => Math.round((100 + 0.39 * about(celsius)(hour)) * 1000) / 1000;

/**
 * A sump with one of everything that bears on a joint: resistance with a calibration, a moisture law, air that stands in, a logger's
 * file, a clock that was set, rain, heat, a silent probe, decisions, second thoughts, and a water test by stick and by probe.
 */
export async function richSite(): Promise<HandSite> {
  const site = await workedSite();
  const say = site.say.bind(site);
  const probe = { kind: 'probe.registered', role: 'material' };
  await say({ ...probe, probe: 'pt', sensor: { kind: 'pt100', tolerance: 'A' }, uncertaintyCelsius: 0.4 }, quality);
  await say({ ...probe, probe: 'pit', role: 'ambient', uncertaintyCelsius: 0.5, humidityUncertaintyPercent: 3 });
  await say({ ...probe, probe: 'lv', role: 'level', levelUncertaintyMillimetres: 1 });
  const calibration = {
    points: [
      { referenceCelsius: 0, indicatedCelsius: 0.2 },
      { referenceCelsius: 30, indicatedCelsius: 30.1 },
    ],
    referenceUncertaintyCelsius: 0.1,
    reference: 'ice and thermometer 7',
    on: '2026-04-30',
    by: 'Q. Fir',
  };
  await say({ kind: 'calibration.recorded', probe: 'pt', at: site.at(), calibration }, quality);
  await say({ kind: 'joint.added', joint: 'j3', sump: 's1', label: 'Pour', schedule: 'epoxy-pour', probes: ['pt'] });
  const bed = { joint: 'j4', sump: 's1', label: 'Bed', schedule: 'sealant-bead', probes: [], ambient: 'pit' };
  await say({ kind: 'joint.added', ...bed, beadMillimetres: 4 });
  await layUp(site, 'j3');
  await say({ kind: 'joint.laidUp', joint: 'j4', at: site.at() });
  await say({ kind: 'rain.noted', at: site.at(), sump: 's1' });

  const hear = async (hours: number) => {
    site.wait(hours);
    await site.hear('pt', 'resistance', ohms(17), { from: hours, everyMinutes: 6 });
    await site.hear('pit', 'temperature', about(19), { from: hours, everyMinutes: 6 });
    await site.hear('pit', 'humidity', (hour) => 60 + (Math.abs(Math.round(hour * 10)) % 3), { from: hours, everyMinutes: 6 });
  };
  await hear(2);
  await say({ kind: 'rain.ended', at: site.at(), sump: 's1' });
  await say({ kind: 'heating.changed', sump: 's1', at: site.at(), what: 'heater', on: true });
  // Forty minutes of nothing.
  site.wait(40 / 60);
  await hear(6);
  site.clock.setBy(7_000);
  site.live.tick();
  await site.live.quiet();
  await hear(30);

  const atMs = Array.from({ length: 40 }, (_, row) => site.nowMs - (row + 1) * 5 * MINUTE_MS).reverse();
  const readings = { atMs, milliC: atMs.map((_, row) => 15_000 + (row % 3) * 100), milliRh: atMs.map(() => null) };
  await site.live.importFile({ probe: 'pt', file: 'logger.csv', sha256: '1c'.repeat(32), readings, rejected: 2 }, quality);
  for (const joint of ['j3', 'j4'])
    for (const { id, open, to } of site.joint(joint).findings)
      if (open && to !== null)
        await say({ kind: 'finding.decided', finding: id, decision: 'accept', reason: 'seen on the spot' }, quality);

  await say(
    { kind: 'activity.started', sump: 's1', activity: 'water-test', at: site.at(), reason: 'the trucks are here' },
    quality,
  );
  site.wait(0.25);
  const startedAt = site.at();
  site.wait(1);
  await site.hear('lv', 'level', (hour) => 1.016 + (hour > -0.5 ? 0.0004 : 0), { from: 1, everyMinutes: 10 });
  await say(
    {
      kind: 'hydrotest.recorded',
      ...{ sump: 's1', method: 'full-height', fillAboveHighest: inches(5), waterDepth: inches(40) },
      ...{ filledAt: site.at(1.25), startedAt, endedAt: site.at(), probe: 'lv' },
      byHand: { start: inches(40), end: inches(40), resolution: inches(1 / 16) },
      ...{ waterCelsiusStart: 12, waterCelsiusEnd: 11.8 },
    },
    quality,
  );
  return site;
}
