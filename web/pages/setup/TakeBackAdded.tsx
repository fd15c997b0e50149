import { useSignal } from '@preact/signals';
import { setupText } from '../../text/setupText.ts';
import { mayState } from '../schedules/known.ts';
import { type OnRecord, Withdraw } from './Withdraw.tsx';

const words = setupText.setup.takeBack;

/** Takes back a sump, joint or lot that was added by mistake. Nothing may rest on it. */
export function TakeBackAdded({ entry }: { entry: OnRecord }) {
  const isAsking = useSignal(false);
  if (!mayState('entry.withdrawn')) return null;
  return (
    <>
      <button
        type="button"
        class="button quiet"
        aria-label={words.label(entry.what)}
        onClick={() => {
          isAsking.value = true;
        }}
      >
        {words.take}
      </button>
      {isAsking.value && (
        <Withdraw
          entry={entry}
          about={entry.what}
          lead={words.staysAdded}
          onClose={() => {
            isAsking.value = false;
          }}
        />
      )}
    </>
  );
}
