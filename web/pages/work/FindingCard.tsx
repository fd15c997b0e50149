import { useSignal } from '@preact/signals';
import { Link } from 'wouter-preact';
import type { FindingView } from '../../../edge/site/views/finding.ts';
import { barTo, choicesOf, type Decision } from '../../answer/findings.ts';
import { session } from '../../live/session.ts';
import { jointOfSump } from '../../live/store.ts';
import { capital, dated } from '../../look/format.ts';
import { findingWords, probesOf, sumpOf } from '../../parts/findingWords.ts';
import { Icon, type IconName } from '../../parts/Icon.tsx';
import { text } from '../../text/text.ts';
import { DecideFinding, TakeBackDecision } from './DecideFinding.tsx';

const icons: Record<FindingView['severity'], IconName> = { stop: 'stop', warning: 'warning', note: 'note' };

/** One finding: what it is, its evidence, what to do, and who decided or may. `placed`: the joint or sump is told too. */
export function FindingCard({ finding, placed }: { finding: FindingView; placed: boolean }) {
  const { severity, open, decision } = finding;
  const { title, said, todo } = findingWords(finding);
  return (
    <li class={`finding is-${severity} ${open ? 'is-open' : 'is-decided'}`}>
      <div class="finding-top">
        <Icon name={open ? icons[severity] : 'check'} />
        <div>
          <h3>{title}</h3>
          <p class="finding-weight">
            <b>{text.findings.severity[severity]}</b>{' '}
            <span class="soft">{open ? text.findings.means[severity] : text.findings.decided.toLowerCase()}</span>
          </p>
        </div>
      </div>
      {placed && <Place finding={finding} />}
      <p>{said}</p>
      <Facts finding={finding} />
      {open && <p class="finding-todo">{todo}</p>}
      {decision !== null && <Decided finding={finding} decision={decision} />}
      {open && decision?.decision !== 'redo' && <Choices finding={finding} />}
    </li>
  );
}

function Place({ finding }: { finding: FindingView }) {
  const [href, name] =
    finding.joint === null
      ? [`/sumps/${encodeURIComponent(finding.sump)}`, sumpOf(finding)]
      : [`/joints/${encodeURIComponent(finding.joint)}`, jointOfSump(finding.joint)];
  return (
    <p class="finding-place">
      <Link href={href}>{name}</Link>
    </p>
  );
}

/** When, by which probes, and what it blocks. */
function Facts({ finding }: { finding: FindingView }) {
  const { severity, open, from, to, blocks, probes } = finding;
  const since = dated(Date.parse(from));
  const facts = [
    to === null ? text.findings.since(since) : to === from ? since : text.findings.span(since, dated(Date.parse(to))),
    ...(probes.length > 0 ? [probesOf(finding)] : []),
    ...(open && severity === 'stop' && blocks.length > 0
      ? [text.findings.blocks(text.listAnd(blocks.map((stage) => text.stage[stage] ?? stage)))]
      : []),
  ];
  return <p class="soft">{facts.join(' · ')}</p>;
}

function Decided({ finding, decision }: { finding: FindingView; decision: NonNullable<FindingView['decision']> }) {
  const taking = useSignal(false);
  const who = session.value;
  const role = text.settings.roleName[decision.role as keyof typeof text.settings.roleName] ?? decision.role;
  const mayTakeBack =
    typeof who === 'object' &&
    (who.role === 'quality' || who.role === 'admin' || (who.role === 'crew' && who.name === decision.by));
  const at = dated(Date.parse(decision.at));
  return (
    <div class="finding-decision">
      <p>
        <b>{text.findings.decidedBy(text.findings.decision[decision.decision], decision.by, role, at)}</b>
      </p>
      <p>{text.findings.because(decision.reason)}</p>
      {decision.decision === 'redo' ? (
        <p class="soft">{text.findings.redoWaits}</p>
      ) : (
        finding.open && <p class="fault">{text.findings.reopened}</p>
      )}
      {mayTakeBack && (
        <button
          type="button"
          class="button quiet"
          onClick={() => {
            taking.value = true;
          }}
        >
          {text.findings.undo}
        </button>
      )}
      {taking.value && (
        <TakeBackDecision
          finding={finding}
          seq={decision.seq}
          onClose={() => {
            taking.value = false;
          }}
        />
      )}
    </div>
  );
}

/** The decisions that there are; what cannot be had now says why. */
function Choices({ finding }: { finding: FindingView }) {
  const deciding = useSignal<Decision | null>(null);
  const who = session.value;
  const { roleName } = text.settings;
  const roles = text.findings.or(finding.mayDecide.map((role) => roleName[role]));
  if (typeof who !== 'object' || who.role === 'claims') return <p class="soft">{text.findings.mayDecide(roles)}</p>;
  const choices = choicesOf(finding).map((decision) => ({ decision, bar: barTo(finding, decision, who.role) }));
  const bars = new Set(choices.flatMap(({ bar }) => bar ?? []));
  return (
    <>
      <div class="finding-choices">
        {choices.map(({ decision, bar }) => (
          <button
            type="button"
            class="button"
            key={decision}
            disabled={bar !== null}
            onClick={() => {
              deciding.value = decision;
            }}
          >
            {text.findings[decision]}
          </button>
        ))}
      </div>
      {bars.has('role') ? (
        <p class="soft">{capital(text.findings.barred.role(roles, roleName[who.role]))}</p>
      ) : (
        bars.has('goesOn') && <p class="soft">{text.findings.barred.goesOn}</p>
      )}
      {deciding.value !== null && (
        <DecideFinding
          finding={finding}
          decision={deciding.value}
          onClose={() => {
            deciding.value = null;
          }}
        />
      )}
    </>
  );
}
