import type { Phase } from '../../edge/site/views/joint.ts';
import { text } from '../text/text.ts';

/** Each phase has an outline of its own, so that it is known by its shape where colour is washed out. */
const shapes = {
  planned: <circle cx="20" cy="20" r="15" fill="none" stroke="currentColor" stroke-width="3" stroke-dasharray="5.2 4.2" />,
  open: (
    <g fill="none" stroke="currentColor" stroke-width="3.5" stroke-linecap="round">
      <path d="M6 13h28M6 20h20M6 27h12" />
    </g>
  ),
  curing: (
    <g>
      <circle cx="20" cy="20" r="15" fill="none" stroke="currentColor" stroke-width="3" />
      <path d="M20 20V5a15 15 0 0 1 13 22.5z" fill="currentColor" />
    </g>
  ),
  stressReady: (
    <g>
      <path d="M20 3 37 20 20 37 3 20z" fill="currentColor" />
      <path
        d="m13 20.5 5 5 9.5-10"
        fill="none"
        stroke="var(--sheet)"
        stroke-width="3.5"
        stroke-linecap="round"
        stroke-linejoin="round"
      />
    </g>
  ),
  hydroReady: (
    <g>
      <path
        d="M20 2c7 9 12.5 14.6 12.5 22A12.5 12.5 0 0 1 20 37 12.5 12.5 0 0 1 7.5 24C7.5 16.6 13 11 20 2z"
        fill="currentColor"
      />
      <path
        d="m14 24.5 4.5 4.5 8-9"
        fill="none"
        stroke="var(--sheet)"
        stroke-width="3.5"
        stroke-linecap="round"
        stroke-linejoin="round"
      />
    </g>
  ),
  void: (
    <g fill="none" stroke="currentColor" stroke-width="3.5" stroke-linecap="round">
      <rect x="5" y="5" width="30" height="30" rx="3" />
      <path d="m13 13 14 14M27 13 13 27" />
    </g>
  ),
};

export function PhaseMark({ phase }: { phase: Phase }) {
  return (
    <svg class={`phase-mark phase-${phase}`} viewBox="0 0 40 40" aria-hidden="true" focusable="false">
      {shapes[phase]}
    </svg>
  );
}

/** The phase as mark and word. `past`: it was so when somebody last answered. */
export function PhaseName({ phase, past }: { phase: Phase; past: boolean }) {
  return (
    <span class={`phase-name ${past ? 'is-past' : `phase-${phase}`}`}>
      {past ? text.now.wasPhase(text.phase[phase]) : text.phase[phase]}
    </span>
  );
}
