import { z } from 'zod';
import { HOUR_MS } from '../../edge/cure/schedule.ts';
import { Instant, msOf } from '../../edge/site/said/words.ts';
import { ProjectionView } from '../../edge/site/views/outlook.ts';
import { PlanAnswer, PlanQuestion, planOf, SumpOutlook, sumpOutlook } from '../../edge/tally/ahead/plan.ts';
import { Planner } from '../../edge/tally/ahead/planner.ts';
import { projectionOf } from '../../edge/tally/ahead/projection.ts';
import type { LiveSite } from '../../edge/tally/liveSite.ts';
import type { Api } from './api.ts';

/** Without a wish the band goes so far … */
const BAND_MS = 48 * HOUR_MS;
/** … and never further than this. */
const BAND_MOST_MS = 8 * 24 * HOUR_MS;

/** What lies ahead of joints and sumps. */
export function outlookRoutes(api: Api, live: LiveSite): void {
  const planner = new Planner();
  api.addHook('onClose', async () => planner.close());

  api.get(
    '/api/joints/:joint/projection',
    {
      schema: {
        params: z.strictObject({ joint: z.string() }),
        querystring: z.strictObject({ until: Instant.optional() }),
        response: { 200: ProjectionView },
      },
    },
    async (request) => {
      const joint = live.views.jointState(request.params.joint);
      await live.outlooks.ready([joint]);
      const { until } = request.query;
      const untilMs = until === undefined ? live.nowMs + BAND_MS : Math.min(msOf(until), live.nowMs + BAND_MOST_MS);
      const stages = live.views.joint(joint.joint).stages.map(({ stage }) => stage);
      return projectionOf(joint, live.outlooks, stages, untilMs, live.nowMs);
    },
  );

  api.get(
    '/api/sumps/:sump/outlook',
    { schema: { params: z.strictObject({ sump: z.string() }), response: { 200: SumpOutlook } } },
    (request) => sumpOutlook(live, request.params.sump),
  );

  api.post('/api/plan', { schema: { body: PlanQuestion, response: { 200: PlanAnswer } } }, (request) =>
    planOf(live, planner, request.body),
  );
}
