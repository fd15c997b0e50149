import type { Signal } from '@preact/signals';
import type { ProbeView } from '../../edge/site/views/probe.ts';
import type { Problem } from '../api/call.ts';
import { jointInSump, probes } from '../live/store.ts';
import { temperature } from '../look/format.ts';
import { jointText } from '../text/jointText.ts';
import { text } from '../text/text.ts';
import { Age } from './Age.tsx';
import { Field, Group, typed } from './form.tsx';

/** Which probes are on a joint's material, and which one is in the air beside it. */
interface Chosen {
  readonly material: Signal<readonly string[]>;
  readonly ambient: Signal<string>;
}

export function ProbeChoice({ chosen, joint, problem }: { chosen: Chosen; joint: string | null; problem: Problem | null }) {
  const all = [...probes.value.values()].map((probe) => probe.value);
  const named = chosen.material.value;
  const material = all.filter((probe) => probe.role === 'material' || named.includes(probe.probe));
  const unseen = named.filter((name) => !all.some((probe) => probe.probe === name));
  const ambient = all.filter((probe) => probe.role === 'ambient');
  const toggle = (name: string) => {
    chosen.material.value = named.includes(name) ? named.filter((other) => other !== name) : [...named, name];
  };
  return (
    <>
      <Group label={jointText.material} path="probes" problem={problem}>
        {material.length + unseen.length === 0 ? (
          <p class="soft">{jointText.materialNone}</p>
        ) : (
          <div class="tick-list">
            {material.map((probe) => (
              <label class="tick" key={probe.probe}>
                <input type="checkbox" checked={named.includes(probe.probe)} onChange={() => toggle(probe.probe)} />
                <ProbeLine probe={probe} joint={joint} />
              </label>
            ))}
            {unseen.map((name) => (
              <label class="tick" key={name}>
                <input type="checkbox" checked onChange={() => toggle(name)} />
                <span>
                  <b>{name}</b> <span class="soft">{jointText.unregistered}</span>
                </span>
              </label>
            ))}
          </div>
        )}
      </Group>
      <Field label={jointText.ambient} path="ambient" problem={problem}>
        {(attributes) => (
          <select
            {...attributes}
            value={chosen.ambient.value}
            onChange={(event) => {
              chosen.ambient.value = typed(event);
            }}
          >
            <option value="">{jointText.ambientNone}</option>
            {ambient.map((probe) => (
              <option key={probe.probe} value={probe.probe}>
                {probe.label}
              </option>
            ))}
          </select>
        )}
      </Field>
    </>
  );
}

/** A probe's name, its newest value and where else it counts: the hand on the probe tells which one it is. */
function ProbeLine({ probe, joint }: { probe: ProbeView; joint: string | null }) {
  const others = probe.joints.filter((name) => name !== joint).map(jointInSump);
  return (
    <span>
      <b>{probe.label}</b>
      {probe.label !== probe.probe && <span class="soft"> {probe.probe}</span>}
      <br />
      <span class="soft">
        {probe.latest === null ? (
          text.now.neverRead
        ) : (
          <>
            {temperature(probe.latest.celsius)}, <Age atMs={Date.parse(probe.latest.at)} />
          </>
        )}
        {others.length > 0 && <>, {jointText.elsewhere(text.listAnd(others))}</>}
        {!probe.registered && <>, {jointText.unregistered}</>}
      </span>
    </span>
  );
}
