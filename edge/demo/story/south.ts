import type { Story } from '../lines.ts';
import { ines, rosa, teo } from '../people.ts';
import { kit, poured, quarts, wet } from './materials.ts';

/** Out in the weather: rain, wind and cold each left their mark. */
export const south: Story = {
  sump: { sump: 'south-sump', label: 'South sump', serial: 'FH-0419' },
  air: 'yard-air',
  everySeconds: 30,
  joints: [
    {
      // A shower caught it wet, and the wind that followed took its probe off: for four hours it showed the air.
      joint: 's-outer',
      label: 'Outer laminate',
      schedule: 'polyester-laminate',
      probes: [{ probe: 's-outer-a', label: 'South outer, road side', offJoint: { fromHoursAgo: 20.3, toHoursAgo: 16 } }],
      layUp: {
        ...wet,
        by: teo,
        hoursAgo: 21.4,
        note: '3 wraps, sheet pulled over at the first drops.',
        prep: { minutesBefore: 55 },
        mix: { minutesBefore: 20, ...quarts(2) },
      },
      heat: { timeConstantHours: 2.5, coverCelsius: 6, heater: { hoursAgo: 23, riseCelsius: 14, holdCelsius: 13 } },
      atStart: { phase: 'curing', conditions: [] },
      open: ['rain', 'probe-detached'],
    },
    {
      // No cover: below the floor since the front came through, and every hour since then is lost.
      joint: 's-inner',
      label: 'Inner epoxy pour',
      schedule: 'epoxy-pour',
      probes: [{ probe: 's-inner-a', label: 'South inner pour, tank side' }],
      layUp: {
        ...poured,
        by: teo,
        hoursAgo: 18.5,
        note: 'One pour, before it gets colder still.',
        prep: { minutesBefore: 40 },
        mix: { minutesBefore: 10, ...kit },
      },
      heat: { timeConstantHours: 2, coverCelsius: 0.5 },
      atStart: { phase: 'curing', conditions: ['cold'] },
      open: ['below-proof'],
    },
    {
      // Cold cans, and under the blanket alone it ran down to a crawl; the heater came on three hours ago.
      joint: 's-seam',
      label: 'Side seam laminate',
      schedule: 'polyester-laminate',
      probes: [{ probe: 's-seam-a', label: 'South seam, road side', loose: { fromHoursAgo: 1.6, toHoursAgo: 1.5 } }],
      layUp: {
        by: teo,
        hoursAgo: 11,
        note: '3 wraps, blanket on.',
        celsius: 13,
        exothermCelsius: 10,
        exothermPeakMinutes: 50,
        prep: { minutesBefore: 50 },
        mix: {
          minutesBefore: 20,
          resin: { value: 2, unit: 'quart' },
          catalystMillilitres: 30,
          resinLot: 'R-2207',
          catalystLot: 'K-118',
          note: 'Cans had stood in the truck, out in the cold.',
        },
      },
      heat: { timeConstantHours: 2, coverCelsius: 5.5, heater: { hoursAgo: 3, riseCelsius: 12, holdCelsius: 14 } },
      atStart: { phase: 'curing', conditions: [] },
      open: ['material-out-of-range'],
    },
    {
      joint: 's-upper',
      label: 'Upper laminate',
      schedule: 'polyester-laminate',
      probes: [{ probe: 's-upper-a', label: 'South upper, road side' }],
      layUp: null,
      heat: { timeConstantHours: 2, coverCelsius: 1 },
      atStart: { phase: 'planned', conditions: [] },
    },
  ],
  told: [
    { hoursAgo: 21.2, by: teo, say: { kind: 'rain.noted', sump: 'south-sump', note: 'Shower out of the west.' } },
    { hoursAgo: 20.8, by: teo, say: { kind: 'rain.ended', sump: 'south-sump' } },
    {
      hoursAgo: 16,
      by: teo,
      say: {
        kind: 'note.added',
        joint: 's-outer',
        text: 'The wind had the sheet loose and the probe hung beside it. Taped on again.',
      },
    },
    { hoursAgo: 11, by: teo, say: { kind: 'heating.changed', joint: 's-seam', what: 'cover', on: true, note: 'Blanket.' } },
    {
      hoursAgo: 3,
      by: rosa,
      say: {
        kind: 'note.added',
        joint: 's-seam',
        text: 'The blanket alone does not hold it. Heater on, warm air in under the blanket, thermostat at 14.',
      },
    },
    { hoursAgo: 1.5, by: rosa, say: { kind: 'note.added', probe: 's-seam-a', text: 'Connector was loose, pushed home.' } },
    {
      hoursAgo: 1,
      by: ines,
      say: { kind: 'note.added', joint: 's-inner', text: 'Surface is still soft. Only one heater left, goes here next.' },
    },
  ],
  activities: { 'water-test': 'waiting', backfill: 'waiting' },
};
