import { shownHours } from '../../edge/cure/schedule.ts';
import type { BundleRecord } from '../../edge/evidence/record.ts';
import { verifyText } from '../text/verifyText.ts';
import { utcMoment } from './when.ts';

const words = verifyText.record;

/** Rounded down: what is shown is never more than what is there. */
const hours = (ppmMs: number) => (Math.floor(shownHours(ppmMs) * 10 + 1e-9) / 10).toFixed(1);

/** Warm hours and stages as the readings in the file come to. */
export function Recounted({ record }: { record: BundleRecord }) {
  return (
    <section class="panel" aria-labelledby="record-title">
      <div>
        <h2 id="record-title">{words.title}</h2>
        <p class="soft">{words.lead}</p>
      </div>
      {record.joints.map(({ joint, label, sumpLabel, serial, schedule, laidUpAt, creditPpmMs, stages }) => (
        <div key={joint} class="recounted">
          <h3>
            {label}, {sumpLabel}
            {serial !== null && ` (${serial})`}
          </h3>
          <p class="soft">
            {schedule.title}: {schedule.source}
          </p>
          {laidUpAt === null ? (
            <p>{words.notLaidUp}</p>
          ) : (
            <>
              <p>{words.hours(hours(creditPpmMs))}</p>
              <dl class="bundle-facts">
                {stages.map(({ stage, requiredPpmMs, reachedAtMs }) => (
                  <div key={stage}>
                    <dt>{words.needs(stage, hours(requiredPpmMs))}</dt>
                    <dd>{reachedAtMs === null ? words.notReached : words.reached(utcMoment(reachedAtMs))}</dd>
                  </div>
                ))}
              </dl>
            </>
          )}
        </div>
      ))}
    </section>
  );
}
