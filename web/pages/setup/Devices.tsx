import { useSignal } from '@preact/signals';
import { now } from '../../live/clock.ts';
import { probes } from '../../live/store.ts';
import { moment } from '../../look/format.ts';
import { ProblemNote } from '../../parts/form.tsx';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';
import { mayState } from '../schedules/known.ts';
import { DeviceForm } from './DeviceForm.tsx';
import { useQuarantine } from './quarantined.ts';
import { unreadTopics } from './topics.ts';

const words = setupText.setup.devices;

/** Devices that publish JSON of their own: their topics are among the messages set aside, until somebody says how to read them. */
export function Devices() {
  const { list, problem } = useQuarantine();
  const reading = useSignal<string | null>(null);
  const mapped = [...probes.value.values()].flatMap((probe) => probe.value.mappings.map(({ mapping }) => mapping.topic));
  const topics = unreadTopics(list.value?.items ?? [], new Set(mapped));
  return (
    <>
      <p>{words.lead}</p>
      <ProblemNote problem={problem.value} />
      {list.value === null && problem.value === null && <p class="soft">{text.page.loading}</p>}
      {list.value !== null && topics.length === 0 && <p class="soft">{words.none}</p>}
      {topics.length > 0 && (
        <div class="part">
          <h3>{words.topics}</h3>
          <ul class="rows">
            {topics.map(({ topic, newest, count }) => (
              <li class="row" key={topic}>
                <span class="row-main">
                  <code>{topic}</code>
                  <span class="soft">
                    {words.messages(count)}, {moment(Date.parse(newest.at), now.value)}
                  </span>
                </span>
                {mayState('probe.mapped') && (
                  <button
                    type="button"
                    class="button"
                    aria-label={`${words.choose}: ${topic}`}
                    onClick={() => {
                      reading.value = topic;
                    }}
                  >
                    {words.choose}
                  </button>
                )}
              </li>
            ))}
          </ul>
        </div>
      )}
      {!mayState('probe.mapped') && <p class="soft">{words.qualityOnly}</p>}
      {reading.value !== null && (
        <DeviceForm
          topic={reading.value}
          onClose={() => {
            reading.value = null;
          }}
        />
      )}
    </>
  );
}
