import { useSignal } from '@preact/signals';
import type { RecordLine } from '../../../edge/site/views/record.ts';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import { heatingMore, heatingTitle } from '../../chart/eventTitles.ts';
import { mayTakeBack, mayWrite } from '../../live/session.ts';
import { dated } from '../../look/format.ts';
import { jointText } from '../../text/jointText.ts';
import { workText } from '../../text/workText.ts';
import { TakeBackEntry } from './TakeBackEntry.tsx';

const at = (instant: string) => dated(Date.parse(instant));

/** Everything that was said about a sump, each to be taken back; what was taken back stays, struck through. */
export function SumpRecord({ view }: { view: SumpView }) {
  const taking = useSignal<RecordLine | null>(null);
  const words = workText.record;
  if (view.record.length === 0) return null;
  return (
    <section class="panel" aria-labelledby="record-title">
      <h2 id="record-title">{words.title}</h2>
      <details class="more">
        <summary>{words.show(view.record.length)}</summary>
        <ul class="record-list">
          {view.record.map((line) => {
            const { seq, kind, by, role, withdrawn } = line;
            // What others rest on, crew take back only where it is their own.
            const isTheirs = kind === 'hydrotest.recorded' ? mayTakeBack(by, role) : mayWrite();
            return (
              <li key={seq}>
                <div>
                  {withdrawn === null ? (
                    <p>{wordsOf(line, view)}</p>
                  ) : (
                    <>
                      <del>{wordsOf(line, view)}</del>
                      <p class="soft">{jointText.takenBack(withdrawn.by, at(withdrawn.at), withdrawn.reason)}</p>
                    </>
                  )}
                  <p class="soft">
                    {at(line.at)} {jointText.eventBy(by)}
                  </p>
                </div>
                {withdrawn === null && isTheirs && (
                  <button
                    type="button"
                    class="button"
                    aria-label={jointText.takeBackLabel(wordsOf(line, view), at(line.at))}
                    onClick={() => {
                      taking.value = line;
                    }}
                  >
                    {jointText.takeBack}
                  </button>
                )}
              </li>
            );
          })}
        </ul>
      </details>
      {taking.value !== null && (
        <TakeBackEntry
          title={jointText.takeBackTitle}
          lead={jointText.takeBackStays}
          about={view.label}
          what={wordsOf(taking.value, view)}
          seq={taking.value.seq}
          onClose={() => {
            taking.value = null;
          }}
        />
      )}
    </section>
  );
}

/** Heat by what was done, an appointment by its moment. */
function aheadWordsOf(kind: string, text: string, labelOf: (activity: string) => string): string[] | null {
  if (kind === 'heating.changed') return [heatingTitle(text), heatingMore(text)];
  if (kind !== 'booking.made' && kind !== 'booking.cancelled') return null;
  const [activity = '', ...rest] = text.split(' · ');
  const [due, ...note] = kind === 'booking.made' ? rest : ['', ...rest];
  return [workText.record.kind[kind] ?? kind, labelOf(activity), due === undefined || due === '' ? '' : at(due), ...note];
}

/** The service names activities and hold points by their identifiers, people by what they are called. */
function wordsOf({ kind, text }: RecordLine, { activities }: SumpView): string {
  const labelOf = (name: string) => activities.find(({ activity }) => activity === name)?.label ?? name;
  const ahead = aheadWordsOf(kind, text, labelOf);
  if (ahead !== null) return ahead.filter((part) => part !== '').join(' · ');
  const [first = '', ...rest] = text.split(' · ');
  const holds = activities.flatMap(({ needs }) => needs.flatMap(({ hold }) => hold ?? []));
  const called =
    (kind.startsWith('activity.') ? labelOf(first) : undefined) ??
    holds.find(({ hold }) => kind === 'hold.signed' && hold === first)?.label ??
    (kind === 'hydrotest.recorded' ? workText.waterTest.methods[first as keyof typeof workText.waterTest.methods] : first);
  return [workText.record.kind[kind] ?? kind, called, ...rest].filter((part) => part !== '').join(' · ');
}
