import { z } from 'zod';
import { MixRules } from '../../edge/cure/mix.ts';
import { Schedule } from '../../edge/cure/schedule.ts';
import { Sequence } from '../../edge/site/sequence.ts';
import { SiteView } from '../../edge/site/views/site.ts';
import type { LiveSite } from '../../edge/tally/liveSite.ts';
import type { Api } from './api.ts';

const LotView = z.strictObject({
  lot: z.string(),
  material: z.enum(['resin', 'catalyst', 'epoxy', 'sealant', 'glass']),
  label: z.string(),
  /** Its own rules for the mix; null where the schedule's hold. */
  sheet: MixRules.nullable(),
});

export function siteRoutes(api: Api, live: LiveSite): void {
  api.get('/api/site', { schema: { response: { 200: SiteView } } }, () => live.views.whole(live.recording));

  api.get('/api/schedules', { schema: { response: { 200: z.strictObject({ schedules: z.array(Schedule) }) } } }, () => ({
    schedules: live.views.schedules(),
  }));

  api.get('/api/sequences', { schema: { response: { 200: z.strictObject({ sequences: z.array(Sequence) }) } } }, () => ({
    sequences: live.views.sequences(),
  }));

  api.get('/api/lots', { schema: { response: { 200: z.strictObject({ lots: z.array(LotView) }) } } }, () => ({
    lots: [...live.state.lots.values()].map(({ lot, material, label, sheet }) => ({
      lot,
      material,
      label,
      sheet: sheet ?? null,
    })),
  }));
}
