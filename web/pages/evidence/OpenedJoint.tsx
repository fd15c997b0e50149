import { shownHours } from '../../../edge/cure/schedule.ts';
import type { Opened, OpenedJoint } from '../../evidence/opened.ts';
import { momentIn } from '../../evidence/when.ts';
import { hoursDone, hoursPlain, limit } from '../../look/format.ts';
import { openedText as words } from '../../text/openedText.ts';
import { personText } from '../../text/personText.ts';
import { storyText } from '../../text/storyText.ts';
import { text } from '../../text/text.ts';
import { RecordChart } from './RecordChart.tsx';
import { StoryLines } from './StoryLines.tsx';
import { probeIn, type Story, storyOf } from './story.ts';

const HOUR_MS = 3_600_000;

interface Props {
  joint: OpenedJoint;
  opened: Opened;
}

/** All that a bundle holds of one joint, to be read and not to be changed. */
export function OpenedJointSection({ joint, opened }: Props) {
  const { record } = joint;
  const { schedule } = record;
  const story = storyOf(joint, opened);
  return (
    <article class="opened-joint" aria-labelledby={`opened-${record.joint}`}>
      <div>
        <h2 id={`opened-${record.joint}`}>{record.label}</h2>
        <p>{record.serial === null ? record.sumpLabel : words.sump(record.sumpLabel, record.serial)}</p>
        <p class="soft">{words.schedule(schedule.title, schedule.version, limit(schedule.referenceCelsius))}</p>
        <p class="soft">{words.source(schedule.source)}</p>
      </div>
      <div class="verify-pair">
        <Hours joint={joint} opened={opened} />
        <Named story={story} joint={joint} opened={opened} />
      </div>
      <section class="panel" aria-label={words.chart.title}>
        <h3>{words.chart.title}</h3>
        <RecordChart joint={joint} zone={opened.timeZone} />
      </section>
      <Decided story={story} zone={opened.timeZone} />
      <section class="panel" aria-label={storyText.title}>
        <h3>{storyText.title}</h3>
        <StoryLines lines={story.lines} zone={opened.timeZone} />
        <details class="more">
          <summary>
            {storyText.setup}: {storyText.setupCount(story.setup.length)}
          </summary>
          <StoryLines lines={story.setup} zone={opened.timeZone} />
        </details>
      </section>
    </article>
  );
}

function Hours({ joint: { record }, opened }: Props) {
  const at = (instant: string) => momentIn(Date.parse(instant), opened.timeZone);
  const warm = (ppmMs: number) => words.h(hoursDone(shownHours(ppmMs)));
  const facts: [string, string][] = [
    [words.laidUpAt, record.laidUpAt === null ? words.notLaidUp : at(record.laidUpAt)],
    ...(record.attempt > 1 ? [[words.attempt, words.times(record.attempt)] as [string, string]] : []),
    [words.warm, warm(record.creditPpmMs)],
    ...(record.provisionalPpmMs > 0 ? [[words.provisional, warm(record.provisionalPpmMs)] as [string, string]] : []),
    [words.cold, words.h(hoursDone(record.coldMs / HOUR_MS))],
    [words.unproven, words.h(hoursDone(record.unprovenMs / HOUR_MS))],
    ...(record.provenUntil === null ? [] : [[words.provenUntil, at(record.provenUntil)] as [string, string]]),
    ...record.stages.map(({ stage, requiredPpmMs, reachedAtMs, provenBy }): [string, string] => [
      words.stageNeeds(text.stage[stage] ?? stage, hoursPlain(shownHours(requiredPpmMs))),
      reachedAtMs === null || provenBy === null
        ? words.notReached
        : words.reached(momentIn(reachedAtMs, opened.timeZone), probeIn(opened, provenBy.probe)),
    ]),
  ];
  return (
    <section class="panel" aria-label={words.hours}>
      <h3>{words.hours}</h3>
      <dl class="bundle-facts">
        {facts.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

/** Who said something of it, and the lots that it is made of. */
function Named({ joint: { entries }, opened }: Props & { story: Story }) {
  const people = new Map<string, { name: string; role: string; count: number }>();
  const lots = new Set<string>();
  for (const { entry } of entries) {
    const { name, role } = entry.by;
    if (role !== 'system') {
      const key = `${role} ${name}`;
      people.set(key, { name, role: personText.settings.roleName[role], count: (people.get(key)?.count ?? 0) + 1 });
    }
    if (entry.kind === 'mix.recorded')
      for (const lot of [entry.resinLot, entry.catalystLot]) if (lot !== undefined) lots.add(lot);
  }
  return (
    <section class="panel" aria-label={words.people}>
      <h3>{words.people}</h3>
      <dl class="bundle-facts">
        {[...people].map(([key, { name, role, count }]) => (
          <div key={key}>
            <dt>{role}</dt>
            <dd>
              {name} <span class="soft">{words.person(count)}</span>
            </dd>
          </div>
        ))}
      </dl>
      <h3>{words.lots}</h3>
      {lots.size === 0 ? (
        <p class="soft">{words.none}</p>
      ) : (
        <ul class="sentences">
          {[...lots].map((lot) => (
            <li key={lot}>{opened.lots[lot] === undefined ? lot : words.lot(opened.lots[lot], lot)}</li>
          ))}
        </ul>
      )}
    </section>
  );
}

function Decided({ story, zone }: { story: Story; zone: string }) {
  const lines = story.lines.filter(({ mark }) => mark === 'decided');
  return (
    <section class="panel" aria-label={words.findings}>
      <div>
        <h3>{words.findings}</h3>
        <p class="soft">{words.findingsMore}</p>
      </div>
      {lines.length === 0 ? <p>{words.findingsNone}</p> : <StoryLines lines={lines} zone={zone} />}
    </section>
  );
}
