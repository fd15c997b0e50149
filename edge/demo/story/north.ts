import type { Story } from '../lines.ts';
import { rosa, teo } from '../people.ts';
import { kit, poured, quarts, wet } from './materials.ts';

/** Ready for its water test as soon as the upper laminate is through and somebody has decided on an overdue calibration. */
export const north: Story = {
  sump: { sump: 'north-sump', label: 'North sump', serial: 'FH-0417' },
  air: 'yard-air',
  everySeconds: 30,
  joints: [
    {
      // Ready for the water test for nine hours already.
      joint: 'n-base',
      label: 'Base laminate',
      schedule: 'polyester-laminate',
      probes: [{ probe: 'n-base-a', label: 'North base, road side', battery: { percent: 74, percentPerDay: 2 } }],
      layUp: {
        ...wet,
        by: rosa,
        hoursAgo: 33,
        note: '3 wraps, starts staggered.',
        prep: { minutesBefore: 50 },
        mix: { minutesBefore: 20, ...quarts(2) },
      },
      heat: { timeConstantHours: 3, coverCelsius: 5, heater: { hoursAgo: 35, riseCelsius: 14, holdCelsius: 15 } },
      atStart: { phase: 'hydroReady', conditions: [] },
    },
    {
      // Its probe should have been compared with ice and a warm bath again two days ago.
      joint: 'n-inner',
      label: 'Inner epoxy pour',
      schedule: 'epoxy-pour',
      probes: [{ probe: 'n-inner-a', label: 'North inner pour, tank side', calibrated: { daysAgo: 184, forDays: 182 } }],
      layUp: {
        ...poured,
        by: teo,
        hoursAgo: 27.5,
        note: 'One pour, two kits.',
        prep: { minutesBefore: 40 },
        mix: { minutesBefore: 10, ...kit },
      },
      heat: { timeConstantHours: 2.5, coverCelsius: 6, heater: { hoursAgo: 29, riseCelsius: 18, holdCelsius: 19 } },
      atStart: { phase: 'hydroReady', conditions: [] },
      open: ['calibration-overdue'],
    },
    {
      // Warm enough throughout: it counts clock hours and releases its sump four minutes after the start.
      joint: 'n-upper',
      label: 'Upper laminate',
      schedule: 'polyester-laminate',
      probes: [{ probe: 'n-upper-a', label: 'North upper, tank side' }],
      layUp: {
        ...wet,
        by: rosa,
        hoursAgo: 24 - 4 / 60,
        note: '3 wraps.',
        prep: { minutesBefore: 45 },
        mix: { minutesBefore: 20, ...quarts(2) },
      },
      heat: { timeConstantHours: 2.5, coverCelsius: 5, heater: { hoursAgo: 25.5, riseCelsius: 15, holdCelsius: 14 } },
      atStart: { phase: 'stressReady', conditions: [] },
      later: { phase: 'hydroReady', conditions: [], minutes: 4 },
    },
  ],
  // The tanker fills it between ten and twenty-five minutes after the start, and nothing leaks.
  level: {
    probe: 'n-level',
    label: 'Water level, north sump',
    uncertaintyMillimetres: 0.5,
    waterCelsius: 9.5,
    points: [
      { hoursAgo: 1, metres: 0 },
      { hoursAgo: -10 / 60, metres: 0 },
      { hoursAgo: -25 / 60, metres: 1.143 },
    ],
  },
  told: [
    {
      hoursAgo: 0.5,
      by: rosa,
      say: {
        kind: 'note.added',
        sump: 'north-sump',
        text: 'Level probe hangs in the sump. Water for the test comes on the tanker, driver says forty minutes. By then the upper laminate is through, but somebody has to look at the calibration before he fills.',
      },
    },
  ],
  activities: { 'water-test': 'waiting', backfill: 'waiting' },
};
