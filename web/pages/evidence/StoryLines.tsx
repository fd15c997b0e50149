import { momentIn } from '../../evidence/when.ts';
import { Icon, type IconName } from '../../parts/Icon.tsx';
import { storyText as words } from '../../text/storyText.ts';
import type { StoryLine } from './story.ts';

const ICON: Readonly<Record<StoryLine['mark'], IconName>> = {
  said: 'note',
  stage: 'check',
  sealed: 'onward',
  decided: 'findings',
};

/** What happened, one after the other, on the clock of `zone`. */
export function StoryLines({ lines, zone }: { lines: readonly StoryLine[]; zone: string }) {
  if (lines.length === 0) return <p class="soft">{words.none}</p>;
  return (
    <ol class="story">
      {lines.map((line) => (
        <li key={line.key} class={`story-line is-${line.mark} ${line.withdrawn === null ? '' : 'is-withdrawn'}`}>
          <Icon name={ICON[line.mark]} />
          <div>
            <p class="story-when">
              <time dateTime={new Date(line.atMs).toISOString()}>{momentIn(line.atMs, zone)}</time>
            </p>
            {line.withdrawn === null ? (
              <Said line={line} />
            ) : (
              <>
                <del>
                  <Said line={line} />
                </del>
                <p class="event-taken">{line.withdrawn}</p>
              </>
            )}
            <p class="soft story-by">
              {line.by}
              {line.recordedMs !== null && `, ${words.recorded(momentIn(line.recordedMs, zone))}`}
              {line.seq !== null && `, ${words.place(String(line.seq))}`}
            </p>
          </div>
        </li>
      ))}
    </ol>
  );
}

function Said({ line: { title, said } }: { line: StoryLine }) {
  return (
    <>
      <b>{title}</b>
      {said.length > 0 && <p class="event-text">{said.join(' ')}</p>}
    </>
  );
}
