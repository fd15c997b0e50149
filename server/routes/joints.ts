import { z } from 'zod';
import { RateTable } from '../../edge/cure/rateTable.ts';
import { Schedule } from '../../edge/cure/schedule.ts';
import { Instant } from '../../edge/site/said/words.ts';
import { JointView } from '../../edge/site/views/joint.ts';
import { HistoryView, historyOf } from '../../edge/tally/history.ts';
import type { LiveSite } from '../../edge/tally/liveSite.ts';
import type { Api } from './api.ts';

const Named = z.strictObject({ joint: z.string() });
/** Enough for a month of minutes; a chart asks for hundreds. */
const POINTS_MOST = 50_000;
const Range = z
  .strictObject({
    from: Instant.optional(),
    to: Instant.optional(),
    points: z.coerce.number().int().min(2).max(POINTS_MOST).default(600),
  })
  .refine(({ from, to }) => from === undefined || to === undefined || Date.parse(from) < Date.parse(to), {
    path: ['to'],
    error: 'must be after from',
  });

/** The schedule that the joint is cured under, as it was put on record, with the tables that its hours are counted by. */
const ScheduleView = z.strictObject({
  definition: Schedule,
  table: RateTable,
  rateTableSha256: z.string(),
  mixTable: RateTable.nullable(),
});

export function jointRoutes(api: Api, live: LiveSite): void {
  api.get('/api/joints/:joint', { schema: { params: Named, response: { 200: JointView } } }, (request) =>
    live.views.joint(request.params.joint),
  );

  api.get(
    '/api/joints/:joint/schedule',
    { schema: { params: Named, response: { 200: ScheduleView } } },
    (request) => live.views.jointState(request.params.joint).schedule,
  );

  api.get(
    '/api/joints/:joint/history',
    { schema: { params: Named, querystring: Range, response: { 200: HistoryView } } },
    (request) => historyOf(live, request.params.joint, request.query),
  );
}
