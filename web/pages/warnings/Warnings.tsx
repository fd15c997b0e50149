import { useSignal } from '@preact/signals';
import { useId } from 'preact/hooks';
import type { WarningView } from '../../../edge/site/views/warning.ts';
import { type About, asksForHeat, sorted, warningsAbout } from '../../answer/warning.ts';
import { now } from '../../live/clock.ts';
import { link } from '../../live/link.ts';
import { warnings } from '../../live/store.ts';
import { moment, roughSpan } from '../../look/format.ts';
import { Icon } from '../../parts/Icon.tsx';
import { aheadText } from '../../text/aheadText.ts';
import { WarningCard } from './WarningCard.tsx';
import '../../style/ahead.css';

/** What will go wrong unless somebody acts, on the page that it is about. Nothing at all where there is nothing. */
export function Warnings({ of }: { of: About }) {
  const heading = useId();
  const about = warningsAbout(warnings.value, of);
  if (about.length === 0) return null;
  const { open, seen, waiting, backMs } = sorted(about, now.value);
  const here = [...open, ...seen];
  const lostMs = link.value.state === 'lost' ? link.value.sinceMs : null;
  return (
    <section class={lostMs === null ? 'warnings' : 'warnings is-stale'} aria-labelledby={heading}>
      <h2 id={heading} class={here.length === 0 ? 'only-heard' : ''}>
        {aheadText.warnings.title}
      </h2>
      {lostMs !== null && (
        <p class="why is-doubt">
          <Icon name="lost" />
          <span>{aheadText.warnings.asOf(roughSpan(now.value - lostMs))}</span>
        </p>
      )}
      <Cards warnings={here} isLost={lostMs !== null} />
      {open.some(asksForHeat) && (
        <p class="heat-caution">
          <Icon name="warning" />
          <span>{aheadText.warnings.caution}</span>
        </p>
      )}
      {backMs !== null && <Waiting warnings={waiting} backMs={backMs} isLost={lostMs !== null} />}
    </section>
  );
}

function Cards({ warnings: shown, isLost }: { warnings: readonly WarningView[]; isLost: boolean }) {
  if (shown.length === 0) return null;
  return (
    <ul class="warning-list">
      {shown.map((warning) => (
        <WarningCard key={warning.warning} warning={warning} isLost={isLost} />
      ))}
    </ul>
  );
}

/** Those that wait take one line, and open. */
function Waiting({ warnings: waiting, backMs, isLost }: { warnings: readonly WarningView[]; backMs: number; isLost: boolean }) {
  const open = useSignal(false);
  return (
    <details
      class="more"
      open={open.value}
      onToggle={(event) => {
        open.value = event.currentTarget.open;
      }}
    >
      <summary>{aheadText.warnings.waiting(waiting.length, moment(backMs, now.value))}</summary>
      {open.value && <Cards warnings={waiting} isLost={isLost} />}
    </details>
  );
}
