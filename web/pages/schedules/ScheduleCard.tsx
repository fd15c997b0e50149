import type { ComponentChildren } from 'preact';
import type { Schedule } from '../../../edge/cure/schedule.ts';
import { hoursPlain, limit } from '../../look/format.ts';
import { setupText } from '../../text/setupText.ts';
import { isBuiltIn, mayState } from './known.ts';
import { lawWords, stageName, stagesWords } from './scheduleWords.ts';

const words = setupText.schedules.list;

/** One schedule in force, with everything that decides about hours. */
export function ScheduleCard({ schedule, onEdit }: { schedule: Schedule; onEdit: (isNewVersion: boolean) => void }) {
  const builtIn = isBuiltIn(schedule);
  const { law, fromMix, use, proofBelow, hotAboveCelsius, mix, throughBead } = schedule;
  return (
    <article class="schedule-card" id={`schedule-${schedule.name}`} tabIndex={-1}>
      <h3>
        {schedule.title} <span class="soft">{words.version(String(schedule.version))}</span>
      </h3>
      <p class="soft">
        {builtIn ? words.builtIn : words.own}, {words.by(schedule.author)}
      </p>
      <dl class="facts">
        <Fact name={words.law}>{lawWords(law)}</Fact>
        <Fact name={words.reference}>{words.referenceHint(limit(schedule.referenceCelsius))}</Fact>
        <Fact name={words.floor}>{words.floorHint(limit(schedule.floorCelsius))}</Fact>
        <Fact name={words.stages}>{stagesWords(schedule.stages)}</Fact>
        {throughBead !== undefined && <Fact name="">{words.throughBead(stageName(throughBead))}</Fact>}
        {fromMix !== undefined && (
          <Fact name={words.fromMix}>{words.fromMixHint(stagesWords(fromMix.stages), limit(fromMix.referenceCelsius))}</Fact>
        )}
        <Fact name={words.gap}>
          {words.gapHint(hoursPlain(schedule.gapLimitMinutes))}
          {schedule.ambientStandIn && `. ${words.ambientStandIn}`}
        </Fact>
        {use !== undefined && <Fact name={words.use}>{words.between(limit(use.minCelsius), limit(use.maxCelsius))}</Fact>}
        {proofBelow !== undefined && (
          <Fact name={words.proofBelow}>{words.proofBelowHint(hoursPlain(proofBelow.hours), limit(proofBelow.celsius))}</Fact>
        )}
        {hotAboveCelsius !== undefined && <Fact name={words.hotAbove}>{words.hotAboveHint(limit(hotAboveCelsius))}</Fact>}
        {mix !== undefined && (
          <Fact name={words.mix}>{words.mixBand(String(mix.bandPercent.min), String(mix.bandPercent.max))}</Fact>
        )}
      </dl>
      <p class="soft">{words.source(schedule.source)}</p>
      {mayState('schedule.given') && (
        <div class="form-actions">
          <button type="button" class="button" onClick={() => onEdit(false)}>
            {words.copy}
          </button>
          {!builtIn && (
            <button type="button" class="button" onClick={() => onEdit(true)}>
              {words.change}
            </button>
          )}
        </div>
      )}
    </article>
  );
}

function Fact({ name, children }: { name: string; children: ComponentChildren }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{children}</dd>
    </div>
  );
}
