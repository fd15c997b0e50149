import type { WaterTestView } from '../../../edge/site/views/waterTest.ts';
import { probeName } from '../../live/store.ts';
import { dated } from '../../look/format.ts';
import { Icon } from '../../parts/Icon.tsx';
import { workText } from '../../text/workText.ts';
import { JudgedNote } from './JudgedNote.tsx';

const icons = { pass: 'check', fail: 'stop', invalid: 'warning' } as const;

/** All tests of a sump, the newest first, each with the one that it repeats. */
export function WaterTests({ tests }: { tests: readonly WaterTestView[] }) {
  const words = workText.waterTest;
  const numberOf = (seq: number | null) => tests.findIndex((test) => test.seq === seq) + 1;
  const newest = tests.at(-1);
  return (
    <div class="tests">
      <h3>{words.tests}</h3>
      {newest === undefined ? (
        <p class="soft">{words.noTests}</p>
      ) : (
        <>
          {newest.verdict !== 'pass' && <p>{words.retest[newest.verdict]}</p>}
          <ol class="test-list" reversed>
            {tests.toReversed().map((test) => (
              <li key={test.seq} class={`test is-${test.verdict}`}>
                <h4>
                  <Icon name={icons[test.verdict]} />
                  {words.test(numberOf(test.seq))}: {words.verdict[test.verdict]}
                  {test.retestOf !== null && <span class="soft"> {words.retestOf(numberOf(test.retestOf))}</span>}
                </h4>
                <Facts test={test} />
              </li>
            ))}
          </ol>
        </>
      )}
    </div>
  );
}

function Facts({ test }: { test: WaterTestView }) {
  const words = workText.waterTest;
  const at = (instant: string) => dated(Date.parse(instant));
  const { byHand, byProbe, limitMm, method } = test;
  return (
    <>
      <p class="soft">
        {words.methods[method]}. {words.times(at(test.filledAt), at(test.startedAt), at(test.endedAt))};{' '}
        {words.recordedBy(test.by, at(test.recordedAt))}
      </p>
      {byHand !== null && (
        <>
          {byProbe !== null && <p>{words.byHand}</p>}
          <JudgedNote judged={byHand} method={method} />
        </>
      )}
      {byProbe !== null && (
        <>
          <p>
            {words.byProbe(probeName(byProbe.probe))}:{' '}
            {words.probeReadings(byProbe.readings, String(Math.round(byProbe.longestGapMinutes * 10) / 10))}{' '}
            {byProbe.excursion && Math.abs(byProbe.changeMm) < limitMm && <b>{words.excursion}</b>}
          </p>
          <JudgedNote judged={byProbe} method={method} />
        </>
      )}
    </>
  );
}
