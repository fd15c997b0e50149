import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { errorAt } from '../../edge/cure/outlook/airError.ts';
import { HOUR_MS } from '../../edge/cure/schedule.ts';
import { CodedError } from '../../edge/errors.ts';
import type { By } from '../../edge/site/entries.ts';
import { permittedRoles } from '../../edge/site/refusals/permits.ts';
import { QUESTION_CODES } from '../../edge/site/said/words.ts';
import { forecastInForce } from '../../edge/site/state/forecast.ts';
import { ForecastView, forecastView } from '../../edge/site/views/forecast.ts';
import type { LiveSite } from '../../edge/tally/liveSite.ts';
import { DOCUMENT_BYTES_MOST, forecastFrom } from '../../edge/weather/document.ts';
import type { FetchStatus } from '../../edge/weather/fetch.ts';
import { type Api, askedBy } from './api.ts';

const REJECTED_SHOWN = 50;
const LEADS_HOURS = [3, 6, 12, 24, 48];
/** The air to come is shown so far. */
const AHEAD_SHOWN_HOURS = 72;

export const WeatherView = z.strictObject({
  /** The one that is gone by; null: none was given, or all were taken back. */
  forecast: ForecastView.nullable(),
  /** The air to come as outlooks take it; null: nothing to go by. */
  air: z
    .strictObject({ from: z.enum(['forecast', 'persistence']), atMs: z.array(z.number()), celsius: z.array(z.number()) })
    .nullable(),
  /** The ambient probe that stands for the site's air; null: there is none. */
  probe: z.string().nullable(),
  /** Its last two days, UTC ms and °C; null in a hole. */
  measured: z.array(z.tuple([z.number(), z.number().nullable()])),
  /** One standard deviation of the air to come at 3, 6, 12, 24 and 48 h, °C. */
  errorCelsius: z.array(z.strictObject({ hours: z.number(), celsius: z.number() })),
  /** On how many comparisons with what came that rests; 0: the documented default. */
  comparisons: z.int(),
  /** The source that forecasts are fetched from; null: none is set. */
  fetch: z
    .strictObject({
      url: z.string(),
      everyMinutes: z.number(),
      triedAt: z.string().nullable(),
      ok: z.boolean(),
      detail: z.string().nullable(),
    })
    .nullable(),
});

const Taken = z.strictObject({
  seq: z.int(),
  hash: z.string(),
  hours: z.int(),
  /** The first of the lines that were not taken. */
  rejected: z.array(z.strictObject({ line: z.int(), reason: z.string() })),
  rejectedTotal: z.int(),
});

const DocumentBody = z.unknown().meta({
  type: 'string',
  description:
    'CSV with the columns time, celsius or fahrenheit, and humidity if there is one; or JSON {hours: [{at, celsius, humidity?}], source?}.',
});
const Named = z.strictObject({
  name: z
    .string()
    .trim()
    .regex(/^\P{C}{1,120}$/u, 'name the source, in 1 to 120 printable characters')
    .default('forecast'),
  /** A question that was asked about it, and that its sender says yes to. */
  confirmed: z.enum(QUESTION_CODES).optional(),
});

/** The air to come: what is known of it, and the door for documents that say more. */
export async function forecastRoutes(api: Api, live: LiveSite, fetchStatus: () => FetchStatus | null): Promise<void> {
  api.get('/api/forecast', { schema: { response: { 200: WeatherView } } }, () => weatherOf(live, fetchStatus()));

  await api.register(async (scope) => {
    scope.removeAllContentTypeParsers();
    const types = ['text/csv', 'application/json'];
    scope.addContentTypeParser(types, { parseAs: 'string' }, (_request, body, done) => done(null, body));
    scope.withTypeProvider<ZodTypeProvider>().post(
      '/api/forecast',
      {
        bodyLimit: DOCUMENT_BYTES_MOST,
        // Before its body is read: nobody is kept busy by what will not be taken.
        onRequest: async (request) => checkRole(askedBy(request)),
        schema: { consumes: types, body: DocumentBody, querystring: Named, response: { 201: Taken } },
      },
      async (request, reply) => {
        const kind = request.headers['content-type']?.startsWith('application/json') ? 'json' : 'csv';
        const { name, confirmed } = request.query;
        const { hours, source, rejected, rejectedTotal } = forecastFrom(String(request.body), kind, name);
        const asked = confirmed === undefined ? {} : { confirmed: [confirmed] };
        const appended = await live.say({ kind: 'forecast.given', hours, source, ...asked }, askedBy(request));
        reply.code(201);
        return {
          ...appended,
          hours: hours.length,
          rejected: rejected.slice(0, REJECTED_SHOWN),
          rejectedTotal,
        };
      },
    );
  });
}

function checkRole({ role }: By): void {
  const permitted = permittedRoles('forecast.given');
  if (!permitted.includes(role))
    throw new CodedError('wrong-role', `that takes ${permitted.join(' or ')}; you are signed in as ${role}`);
}

function weatherOf(live: LiveSite, fetch: FetchStatus | null): z.infer<typeof WeatherView> {
  const { air, state } = live;
  const { probe } = air;
  const ahead = air.ahead(probe);
  const record = probe === null ? null : air.record(probe);
  const newest = forecastInForce(state.forecasts, live.nowMs);
  const shown = ahead?.air.milliC.slice(0, AHEAD_SHOWN_HOURS + 1) ?? [];
  return {
    forecast: newest === undefined ? null : forecastView(newest),
    air: ahead && {
      from: ahead.from,
      atMs: shown.map((_, index) => ahead.air.fromMs + index * ahead.air.stepMs),
      celsius: shown.map((milliC) => milliC / 1000),
    },
    probe,
    measured: (record?.milliC ?? []).map((milliC, index) => [
      (record?.fromMs ?? 0) + index * (record?.stepMs ?? 0),
      milliC === null ? null : milliC / 1000,
    ]),
    errorCelsius: LEADS_HOURS.map((hours) => ({
      hours,
      celsius: ahead === null ? 0 : Math.round(errorAt(ahead.error, hours * HOUR_MS)) / 1000,
    })),
    comparisons: ahead?.error.comparisons ?? 0,
    fetch,
  };
}
