import type { AirLine, Story, StoryLine } from './lines.ts';
import { teo } from './people.ts';
import { middle } from './story/middle.ts';
import { north } from './story/north.ts';
import { south } from './story/south.ts';
import { tentAir, west } from './story/west.ts';

/**
 * The story that the demonstration tells, as data. All times are hours before the start of the demonstration, so that it opens on
 * the same picture at any time of any day. Place, people, materials and serial numbers are invented.
 */

export const SITE = { name: 'Fernhollow fuel stop', timeZone: 'America/Los_Angeles' } as const;

/** Picks the weather that the story has. */
export const WEATHER_SEED = 1;

export const STORIES: readonly Story[] = [north, middle, south, west];

/** Ambient probes. The first stands in the shade of the site trailer. */
export const AIRS: readonly AirLine[] = [
  {
    probe: 'yard-air',
    label: 'Air, shade side of the trailer',
    hoursOfHistory: 72,
    battery: { percent: 91, percentPerDay: 1 },
  },
  tentAir,
];

export const LOTS = [
  { lot: 'R-2207', material: 'resin', label: 'Polyester resin, drum 1' },
  { lot: 'R-2211', material: 'resin', label: 'Polyester resin, drum 2' },
  { lot: 'K-118', material: 'catalyst', label: 'Catalyst for the polyester' },
  { lot: 'E-0930', material: 'epoxy', label: 'Two-part pour, kits' },
  { lot: 'S-0612', material: 'sealant', label: 'Sealant, cartridges' },
] as const;

/** What was said about the site as a whole. */
export const SITE_TOLD: readonly StoryLine[] = [
  {
    hoursAgo: 19,
    by: teo,
    say: {
      kind: 'note.added',
      text: 'Wind has turned, it is getting cold fast. Blankets on everything that is still open.',
    },
  },
  { hoursAgo: 7, by: teo, forecast: { source: 'Weather radio, typed in', hoursAhead: 48 } },
];

/** A probe that somebody switched on and nobody registered, with its first tries still in the wrong form. */
export const STRANGER = {
  probe: 'spare-3',
  hoursOfHistory: 1,
  celsius: 18,
  garbled: ['{"temperature": 18.1, "unit": "C"', '[{"n":"temperature","u":"Far","v":64.6}]'],
} as const;
