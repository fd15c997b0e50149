import type { Condition, Phase } from '../site/views.ts';

/**
 * The story that the demonstration tells, as data. All times are hours before the start of the demonstration, so that it opens on
 * the same picture at any time of any day. Place and people are invented.
 */

export interface HeatLine {
  /** How slowly the spot follows its surroundings, hours. */
  readonly timeConstantHours: number;
  /** What cover and ground keep it above the air, °C. */
  readonly coverCelsius: number;
  readonly heater?: { readonly hoursAgo: number; readonly riseCelsius: number; readonly holdCelsius: number };
}

export interface ProbeLine {
  readonly probe: string;
  readonly label: string;
  /** How much colder than the joint's warmest spot it sits, °C. */
  readonly colderCelsius?: number;
  /** Nothing was measured between these, hours ago. */
  readonly silent?: { readonly fromHoursAgo: number; readonly toHoursAgo: number };
  /** The sensor hung loose between these and reported −127, hours ago. */
  readonly loose?: { readonly fromHoursAgo: number; readonly toHoursAgo: number };
}

export interface LayUpLine {
  readonly hoursAgo: number;
  readonly note: string;
  /** Of the material as it goes down, °C. */
  readonly celsius: number;
  readonly exothermCelsius: number;
  readonly exothermPeakMinutes: number;
}

/** What the page shows of a joint. */
export interface Look {
  readonly phase: Phase;
  readonly conditions: readonly Condition[];
}

export interface JointLine {
  readonly joint: string;
  readonly sump: string;
  readonly label: string;
  readonly schedule: 'polyester-laminate' | 'epoxy-pour' | 'laminate-strict';
  readonly probes: readonly ProbeLine[];
  readonly layUp: LayUpLine | null;
  readonly heat: HeatLine;
  /** How it stands when the demonstration opens; a test holds the fold against it. */
  readonly atStart: Look;
  /** How it stands some minutes later, if that differs. */
  readonly later?: Look & { readonly minutes: number };
}

export interface NoteLine {
  readonly hoursAgo: number;
  readonly text: string;
  readonly joint?: string;
  readonly sump?: string;
  readonly probe?: string;
}

export const SITE = { name: 'Fernhollow fuel stop', timeZone: 'America/Los_Angeles' } as const;

export const SUMPS = [
  { sump: 'north-sump', label: 'North sump', serial: 'FH-0417' },
  { sump: 'middle-sump', label: 'Middle sump', serial: 'FH-0418' },
  { sump: 'south-sump', label: 'South sump', serial: 'FH-0419' },
] as const;

/** The probe in the shade of the site trailer. */
export const AIR = { probe: 'yard-air', label: 'Air, shade side of the trailer', hoursOfHistory: 72 } as const;

/** A probe that somebody switched on and nobody registered, with its first tries still in the wrong form. */
export const STRANGER = {
  probe: 'spare-3',
  hoursOfHistory: 1,
  celsius: 18,
  garbled: ['{"temperature": 18.1, "unit": "C"', '[{"n":"temperature","u":"Far","v":64.6}]'],
} as const;

/** A laminate as it comes off the roller. */
const wet = { celsius: 18, exothermCelsius: 11, exothermPeakMinutes: 40 };
/** A two-part pour out of warmed cans. */
const poured = { celsius: 20, exothermCelsius: 9, exothermPeakMinutes: 75 };

const curing: Look = { phase: 'curing', conditions: [] };
const stressReady: Look = { phase: 'stressReady', conditions: [] };
const hydroReady: Look = { phase: 'hydroReady', conditions: [] };

export const JOINTS: readonly JointLine[] = [
  {
    // Ready for the water test for nine hours already.
    joint: 'n-base',
    sump: 'north-sump',
    label: 'Base laminate',
    schedule: 'polyester-laminate',
    probes: [{ probe: 'n-base-a', label: 'North base, road side' }],
    layUp: { ...wet, hoursAgo: 33, note: '3 wraps, starts staggered. Mixed 15 mL to the quart.' },
    heat: { timeConstantHours: 3, coverCelsius: 5, heater: { hoursAgo: 34, riseCelsius: 14, holdCelsius: 15 } },
    atStart: hydroReady,
  },
  {
    joint: 'n-inner',
    sump: 'north-sump',
    label: 'Inner epoxy pour',
    schedule: 'epoxy-pour',
    probes: [{ probe: 'n-inner-a', label: 'North inner pour, tank side' }],
    layUp: { ...poured, hoursAgo: 27.5, note: 'One pour, two kits.' },
    heat: { timeConstantHours: 2.5, coverCelsius: 6, heater: { hoursAgo: 29, riseCelsius: 18, holdCelsius: 19 } },
    atStart: hydroReady,
  },
  {
    // Warm enough throughout: it counts clock hours and releases its sump four minutes after the start.
    joint: 'n-upper',
    sump: 'north-sump',
    label: 'Upper laminate',
    schedule: 'polyester-laminate',
    probes: [{ probe: 'n-upper-a', label: 'North upper, tank side' }],
    layUp: { ...wet, hoursAgo: 24 - 4 / 60, note: '3 wraps. Surface wiped and dry.' },
    heat: { timeConstantHours: 2.5, coverCelsius: 5, heater: { hoursAgo: 25, riseCelsius: 15, holdCelsius: 14 } },
    atStart: stressReady,
    later: { ...hydroReady, minutes: 4 },
  },
  {
    // The strict rule: hours below 15 °C earned nothing before the tent heater held.
    joint: 'm-base',
    sump: 'middle-sump',
    label: 'Base laminate',
    schedule: 'laminate-strict',
    probes: [{ probe: 'm-base-a', label: 'Middle base, fence side' }],
    layUp: { ...wet, hoursAgo: 41, note: '4 wraps under the tent. The owner asks for the strict rule.' },
    heat: { timeConstantHours: 3, coverCelsius: 7, heater: { hoursAgo: 34, riseCelsius: 16, holdCelsius: 18 } },
    atStart: curing,
  },
  {
    // Two probes; the colder side governs.
    joint: 'm-inner',
    sump: 'middle-sump',
    label: 'Inner epoxy pour',
    schedule: 'epoxy-pour',
    probes: [
      { probe: 'm-inner-a', label: 'Middle inner pour, heater side' },
      { probe: 'm-inner-b', label: 'Middle inner pour, far side', colderCelsius: 1.8 },
    ],
    layUp: { ...poured, hoursAgo: 21, note: 'One pour, two kits, cans kept warm.' },
    heat: { timeConstantHours: 4, coverCelsius: 7, heater: { hoursAgo: 22, riseCelsius: 14, holdCelsius: 15 } },
    atStart: stressReady,
  },
  {
    // The probe fell silent for two and a quarter hours: those are lost, whatever the heater did.
    joint: 'm-outer',
    sump: 'middle-sump',
    label: 'Outer epoxy pour',
    schedule: 'epoxy-pour',
    probes: [{ probe: 'm-outer-a', label: 'Middle outer pour', silent: { fromHoursAgo: 9.5, toHoursAgo: 7.25 } }],
    layUp: { ...poured, hoursAgo: 13.5, note: 'Second pour, rim side.' },
    heat: { timeConstantHours: 3, coverCelsius: 6, heater: { hoursAgo: 14, riseCelsius: 15, holdCelsius: 13.5 } },
    atStart: curing,
  },
  {
    // Just laid up, still warming itself.
    joint: 'm-boot',
    sump: 'middle-sump',
    label: 'Penetration boot',
    schedule: 'polyester-laminate',
    probes: [{ probe: 'm-boot-a', label: 'Middle boot, pipe side' }],
    layUp: { ...wet, hoursAgo: 0.4, note: '2 wraps tacky before the third.' },
    heat: { timeConstantHours: 2.5, coverCelsius: 8 },
    atStart: curing,
  },
  {
    // Under the blanket alone it ran down to a crawl; the heater came on three hours ago.
    joint: 's-base',
    sump: 'south-sump',
    label: 'Base laminate',
    schedule: 'polyester-laminate',
    probes: [{ probe: 's-base-a', label: 'South base, road side', loose: { fromHoursAgo: 1.6, toHoursAgo: 1.5 } }],
    layUp: { ...wet, hoursAgo: 11, note: '3 wraps, blanket on.' },
    heat: { timeConstantHours: 2, coverCelsius: 5.5, heater: { hoursAgo: 3, riseCelsius: 12, holdCelsius: 14 } },
    atStart: curing,
  },
  {
    // No cover: below the floor since the front came through, and every hour of the night is lost.
    joint: 's-inner',
    sump: 'south-sump',
    label: 'Inner epoxy pour',
    schedule: 'epoxy-pour',
    probes: [{ probe: 's-inner-a', label: 'South inner pour, tank side' }],
    layUp: { ...poured, hoursAgo: 17, note: 'One pour, before the weather turned.' },
    heat: { timeConstantHours: 2, coverCelsius: 0.5 },
    atStart: { phase: 'curing', conditions: ['cold'] },
  },
  {
    joint: 's-upper',
    sump: 'south-sump',
    label: 'Upper laminate',
    schedule: 'polyester-laminate',
    probes: [{ probe: 's-upper-a', label: 'South upper, road side' }],
    layUp: null,
    heat: { timeConstantHours: 2, coverCelsius: 1 },
    atStart: { phase: 'planned', conditions: [] },
  },
];

export const NOTES: readonly NoteLine[] = [
  {
    hoursAgo: 34,
    joint: 'm-base',
    text: 'Rosa: tent closed and the warm-air duct is in. The blower itself stands outside the barrier.',
  },
  { hoursAgo: 19, text: 'Teo: wind has turned, it is getting cold fast. Blankets on everything that is still open.' },
  { hoursAgo: 7, joint: 'm-outer', text: 'Teo: probe was dead, battery clip had come off. Clip is taped now, it reads again.' },
  {
    hoursAgo: 3,
    joint: 's-base',
    text: 'Ines: the blanket alone does not hold it. Heater on, warm air in under the blanket, thermostat at 14.',
  },
  { hoursAgo: 1.5, probe: 's-base-a', text: 'Ines: connector was loose, pushed home.' },
  { hoursAgo: 1, joint: 's-inner', text: 'Rosa: surface is still soft. Only one heater left, goes here next.' },
  {
    hoursAgo: 0.5,
    sump: 'north-sump',
    text: 'Rosa: water for the test comes on the tanker, tell the driver as soon as the upper laminate is through.',
  },
];
