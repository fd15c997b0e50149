import { useSignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { type EvidenceJoint, PACKET_JOINTS_MOST, type Paper, packetOf } from '../../api/evidence.ts';
import { linkLost } from '../../live/facts.ts';
import { claimsText } from '../../text/claimsText.ts';
import { Hit } from './Hit.tsx';
import { PacketNote } from './PacketNote.tsx';
import { fetchPacket } from './packets.ts';

const words = claimsText.packet;

interface Props<T extends EvidenceJoint> {
  joints: readonly T[];
  /** What else is said of a joint. */
  more?: (joint: T) => ComponentChildren;
}

/** Joints with their packets, each at one tap or several in one. */
export function Handout<T extends EvidenceJoint>({ joints, more }: Props<T>) {
  const ticked = useSignal<readonly string[]>([]);
  const paper = useSignal<Paper>('letter');
  const tick = (joint: string, isTicked: boolean) => {
    ticked.value = isTicked ? [...ticked.value, joint] : ticked.value.filter((other) => other !== joint);
  };
  const { length: count } = ticked.value;
  return (
    <>
      <div class="handout-top">
        <PaperChoice paper={paper.value} onPaper={(chosen) => (paper.value = chosen)} />
        {joints.length > 1 && (
          <button
            type="button"
            class="button"
            onClick={() => {
              ticked.value = joints.map(({ joint }) => joint);
            }}
          >
            {words.tickAll}
          </button>
        )}
      </div>
      <PacketNote />
      {joints.map((joint) => (
        <Hit key={joint.joint} found={joint} paper={paper.value} isTicked={ticked.value.includes(joint.joint)} onTick={tick}>
          {more?.(joint)}
        </Hit>
      ))}
      {count > 0 && (
        <div class="packet-tray">
          <p role="status">
            <b>{words.chosen(count)}</b>
            {count > PACKET_JOINTS_MOST && ` ${words.tooMany(PACKET_JOINTS_MOST)}`}
          </p>
          <button
            type="button"
            class="button primary"
            disabled={linkLost() || count > PACKET_JOINTS_MOST}
            onClick={() => void fetchPacket(packetOf(ticked.value, paper.value), words.chosen(count))}
          >
            {words.together}
          </button>
          <button
            type="button"
            class="button"
            onClick={() => {
              ticked.value = [];
            }}
          >
            {words.untick}
          </button>
        </div>
      )}
    </>
  );
}

function PaperChoice({ paper, onPaper }: { paper: Paper; onPaper: (paper: Paper) => void }) {
  return (
    <fieldset class="choice">
      <legend>{words.paper}</legend>
      <div class="choice-row">
        {(['letter', 'a4'] as const).map((each) => (
          <label key={each}>
            <input type="radio" name="paper" checked={paper === each} onChange={() => onPaper(each)} />
            <span>{words.papers[each]}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}
