import { useSignal } from '@preact/signals';
import { Link } from 'wouter-preact';
import type { FindingView } from '../../../edge/site/views/finding.ts';
import { barTo, choicesOf, type Decision } from '../../answer/findings.ts';
import { mayTakeBack, session } from '../../live/session.ts';
import { jointOfSump, joints } from '../../live/store.ts';
import { capital, dated } from '../../look/format.ts';
import { findingWords, probesOf, sumpOf } from '../../parts/findingWords.ts';
import { Icon, type IconName } from '../../parts/Icon.tsx';
import { roleName } from '../../parts/roleName.ts';
import { findingText } from '../../text/findingText.ts';
import { jointText } from '../../text/jointText.ts';
import { text } from '../../text/text.ts';
import { DecideFinding, placeOf, TakeBackDecision } from './DecideFinding.tsx';

const icons: Record<FindingView['severity'], IconName> = { stop: 'stop', warning: 'warning', note: 'note' };

/** One finding: what it is, its evidence, what to do, and who decided or may. `placed`: the joint or sump is told too. */
export function FindingCard({ finding, placed }: { finding: FindingView; placed: boolean }) {
  const { severity, open, decision } = finding;
  const { title, said, todo } = findingWords(finding);
  const isProbe = finding.code === 'probe-detached' || finding.code === 'probe-frozen';
  return (
    <li class={`finding is-${severity} ${open ? 'is-open' : 'is-decided'}`}>
      <div class="finding-top">
        <Icon name={open ? icons[severity] : 'check'} />
        <div>
          <h3>{title}</h3>
          <p class="finding-weight">
            <b>{findingText.severity[severity]}</b>{' '}
            <span class="soft">{open ? findingText.means[severity] : findingText.decided.toLowerCase()}</span>
          </p>
        </div>
      </div>
      {placed && <Place finding={finding} />}
      <p>
        {said} {isProbe && finding.to !== null && findingText.normalAgain(dated(Date.parse(finding.to)))}
      </p>
      <Facts finding={finding} />
      {finding.joint !== null && (
        <p class="finding-place">
          {placed ? (
            <Link href={`/joints/${encodeURIComponent(finding.joint)}#chart`}>{findingText.chart}</Link>
          ) : (
            <a href="#chart">{findingText.chart}</a>
          )}
        </p>
      )}
      {open && <p class="finding-todo">{todo}</p>}
      {decision !== null && <Decided finding={finding} decision={decision} />}
      <TakenBack finding={finding} />
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
    to === null ? findingText.since(since) : to === from ? since : findingText.span(since, dated(Date.parse(to))),
    ...(probes.length > 0 ? [probesOf(finding)] : []),
    ...(open && severity === 'stop' && blocks.length > 0
      ? [findingText.blocks(text.listAnd(blocks.map((stage) => text.stage[stage] ?? stage)))]
      : []),
  ];
  return <p class="soft">{facts.join(' · ')}</p>;
}

function Decided({ finding, decision }: { finding: FindingView; decision: NonNullable<FindingView['decision']> }) {
  const taking = useSignal(false);
  const mayUndo = mayTakeBack(decision.by, decision.role);
  const at = dated(Date.parse(decision.at));
  return (
    <div class="finding-decision">
      <p>
        <b>{findingText.decidedBy(findingText.decision[decision.decision], decision.by, roleName(decision.role), at)}</b>
      </p>
      <p>{findingText.because(decision.reason)}</p>
      {decision.decision === 'proof' && <ProofBehind finding={finding} />}
      {decision.decision === 'redo' ? (
        <p class="soft">{findingText.redoWaits}</p>
      ) : (
        finding.open && <p class="fault">{findingText.reopened}</p>
      )}
      {mayUndo && (
        <button
          type="button"
          class="button quiet"
          onClick={() => {
            taking.value = true;
          }}
        >
          {findingText.undo}
        </button>
      )}
      {taking.value && (
        <TakeBackDecision
          about={placeOf(finding)}
          seq={decision.seq}
          onClose={() => {
            taking.value = false;
          }}
        />
      )}
    </div>
  );
}

/** The passing proof that settles a finding. */
function ProofBehind({ finding: { joint, to } }: { finding: FindingView }) {
  const { proofs = [] } = joints.value.get(joint ?? '')?.value ?? {};
  const proof = proofs.findLast(({ verdict, at }) => verdict === 'pass' && to !== null && Date.parse(at) >= Date.parse(to));
  return proof === undefined ? null : <p>{findingText.provedBy(proof.by, dated(Date.parse(proof.at)))}</p>;
}

/** Decisions that no longer count, struck through. */
function TakenBack({ finding }: { finding: FindingView }) {
  return (
    <>
      {finding.decisions.map(({ seq, by, role, at, text: said, withdrawn }) => {
        if (withdrawn === null) return null;
        const [decision, ...reason] = said.split(' · ');
        const name = findingText.decision[decision as Decision];
        return (
          <div class="soft" key={seq}>
            <del>
              {findingText.decidedBy(name, by, roleName(role), dated(Date.parse(at)))} {findingText.because(reason.join(' · '))}
            </del>
            <p>{jointText.takenBack(withdrawn.by, dated(Date.parse(withdrawn.at)), withdrawn.reason)}</p>
          </div>
        );
      })}
    </>
  );
}

/** The decisions that there are; what cannot be had now says why. */
function Choices({ finding }: { finding: FindingView }) {
  const deciding = useSignal<Decision | null>(null);
  const who = session.value;
  const roles = findingText.or(finding.mayDecide.map(roleName));
  if (typeof who !== 'object' || who.role === 'claims') return <p class="soft">{findingText.mayDecide(roles)}</p>;
  const joint = finding.joint === null ? undefined : joints.value.get(finding.joint)?.value;
  const choices = choicesOf(finding).map((decision) => ({ decision, bar: barTo(finding, decision, who.role, joint ?? null) }));
  const bars = new Set(choices.flatMap(({ bar }) => bar ?? []));
  const { role: notYours, ...others } = findingText.barred;
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
            {findingText[decision]}
          </button>
        ))}
      </div>
      {!bars.has('role') && <p class="soft">{findingText.mayDecide(roles)}</p>}
      {[...bars].map((bar) => (
        <p class="soft" key={bar}>
          {bar === 'role' ? capital(notYours(roles, roleName(who.role))) : others[bar]}
        </p>
      ))}
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
