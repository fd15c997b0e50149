import { probeName, probes } from '../../live/store.ts';
import { Age } from '../../parts/Age.tsx';
import { Field, typed } from '../../parts/form.tsx';
import { workText } from '../../text/workText.ts';
import { millimetresWords } from './lengths.ts';
import type { Kept } from './WaterTestSteps.tsx';

/** Which probe reads the level, where the site has one that can. */
export function LevelProbeChoice({ kept }: { kept: Kept }) {
  const all = [...probes.value.values()].map((probe) => probe.value).filter(({ role }) => role === 'level');
  if (all.length === 0) return null;
  const { probe } = kept.draft.value;
  return (
    <>
      <Field label={workText.waterTest.probe} path="probe" problem={null}>
        {(attributes) => (
          <select {...attributes} value={probe} onChange={(event) => kept.change({ probe: typed(event) })}>
            <option value="">{workText.waterTest.noProbe}</option>
            {all.map((each) => (
              <option key={each.probe} value={each.probe}>
                {probeName(each.probe)}
              </option>
            ))}
          </select>
        )}
      </Field>
      <LevelProbe probe={probe} />
    </>
  );
}

/** What a level probe shows now, with its age. */
export function LevelProbe({ probe }: { probe: string }) {
  const known = probes.value.get(probe)?.value;
  if (known === undefined) return null;
  return (
    <p class="level-now">
      <span class="soft">{probeName(probe)}</span>{' '}
      {known.level === null ? (
        workText.waterTest.probeNever
      ) : (
        <>
          <b>{workText.waterTest.probeNow(millimetresWords(known.level.millimetres))}</b>,{' '}
          <Age atMs={Date.parse(known.level.at)} />
        </>
      )}
    </p>
  );
}
