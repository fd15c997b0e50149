import { useSignal } from '@preact/signals';
import type { ProbeView } from '../../../edge/site/views/probe.ts';
import { setupText } from '../../text/setupText.ts';
import { probeLines } from './probeRecord.ts';
import { type OnRecord, Withdraw } from './Withdraw.tsx';

const words = setupText.setup.probes;

/** What was said of a probe, newest first, each to be taken back; what was taken back stays, struck through. */
export function ProbeRecords({ view }: { view: ProbeView }) {
  const withdrawing = useSignal<OnRecord | null>(null);
  if (view.record.length === 0) return null;
  return (
    <details class="more probe-records">
      <summary>{words.history(view.record.length)}</summary>
      <ul class="rows">
        {probeLines(view).map((line) => (
          <li class={`row ${line.withdrawn === '' ? '' : 'is-withdrawn'}`} key={line.seq}>
            <span class="row-main">
              {line.withdrawn === '' ? <span>{line.what}</span> : <del>{line.what}</del>}
              {line.more !== '' && <span class="soft">{line.more}</span>}
              <span class="soft">{line.said}</span>
              {line.withdrawn !== '' && <span class="soft">{line.withdrawn}</span>}
            </span>
            {line.isTheirs && (
              <button
                type="button"
                class="button"
                aria-label={`${words.takeBack}: ${line.what}`}
                onClick={() => {
                  withdrawing.value = line;
                }}
              >
                {words.takeBack}
              </button>
            )}
          </li>
        ))}
      </ul>
      {withdrawing.value !== null && (
        <Withdraw
          entry={withdrawing.value}
          about={view.label}
          onClose={() => {
            withdrawing.value = null;
          }}
        />
      )}
    </details>
  );
}
