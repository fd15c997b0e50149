import { type Answered, problemOf } from '../../api/call.ts';
import { recordedCount } from '../../api/record.ts';
import type { ForecastTaken } from '../../api/shapes.ts';
import { text } from '../../text/text.ts';
import { weatherText } from '../../text/weatherText.ts';
import { isText } from './isText.ts';

const ANSWER_LIMIT_MS = 30_000;
/** What is no text shows it soon. */
const LOOKED_AT_BYTES = 64 * 1024;

/** Hands in a forecast file as it is: CSV, or JSON when it is called so. `confirmed`: a question that was answered. Never throws. */
export async function sendForecast(file: File, confirmed: string | null): Promise<Answered<ForecastTaken>> {
  const isJson = file.name.toLowerCase().endsWith('.json') || file.type === 'application/json';
  try {
    if (!isText(await file.slice(0, LOOKED_AT_BYTES).arrayBuffer()))
      return { ok: false, problem: problemOf(0, weatherText.file.noText) };
    const asked = new URLSearchParams({ name: file.name, ...(confirmed === null ? {} : { confirmed }) });
    const response = await fetch(`/api/forecast?${asked}`, {
      method: 'POST',
      cache: 'no-store',
      headers: { accept: 'application/json', 'content-type': isJson ? 'application/json' : 'text/csv' },
      signal: AbortSignal.timeout(ANSWER_LIMIT_MS),
      body: file,
    });
    const body: unknown = await response.json().catch(() => null);
    if (response.status !== 201) return { ok: false, problem: problemOf(response.status, body) };
    recordedCount.value++;
    return { ok: true, value: body as ForecastTaken };
  } catch {
    const { unreachable: title, unreachableDetail: detail } = text.problem;
    return { ok: false, problem: problemOf(0, { title, detail }) };
  }
}
