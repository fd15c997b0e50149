import type { ComponentChildren } from 'preact';

const stroke = {
  fill: 'none',
  stroke: 'currentColor',
  'stroke-width': 2,
  'stroke-linecap': 'round',
  'stroke-linejoin': 'round',
} as const;

const drawings = {
  now: (
    <g {...stroke}>
      <path d="M3 17h18" />
      <path d="M6 17v-5M10 17V7M14 17v-5M18 17V7" />
    </g>
  ),
  setup: (
    <g {...stroke}>
      <path d="M9 4h6v6H9z" />
      <path d="M12 10v8" />
      <path d="M12 22v-1" />
      <path d="M5 21h4M15 21h4" />
    </g>
  ),
  settings: (
    <g {...stroke}>
      <path d="M4 8h9M19 8h1M4 16h1M11 16h9" />
      <circle cx="16" cy="8" r="2.5" />
      <circle cx="8" cy="16" r="2.5" />
    </g>
  ),
  onward: <path {...stroke} d="m9 5 7 7-7 7" />,
  back: <path {...stroke} d="m15 5-7 7 7 7" />,
  cold: (
    <g {...stroke}>
      <path d="M8 13.5V5a2.5 2.5 0 0 1 5 0v8.5a4.5 4.5 0 1 1-5 0z" />
      <path d="M18 4v9M15.5 10.5 18 13l2.5-2.5" />
    </g>
  ),
  unproven: (
    <g {...stroke}>
      <path d="M3 15l4-5" />
      <path d="M17 14l4-5" />
      <path d="M11 12h.01M14 13h.01" />
      <path d="M4 20h16" />
    </g>
  ),
  provisional: (
    <g {...stroke}>
      <circle cx="12" cy="12" r="8.5" stroke-dasharray="3.5 3.2" />
      <path d="M12 8v4.5M12 16h.01" />
    </g>
  ),
  projectedLate: (
    <g {...stroke}>
      <circle cx="12" cy="12" r="8.5" />
      <path d="M12 7v5l3.5 2" />
    </g>
  ),
  lost: (
    <g {...stroke}>
      <path d="M4 9.5a12 12 0 0 1 5-2.6M20 9.5a12 12 0 0 0-6-2.8M8 14a6 6 0 0 1 2-1.2M16 14a6 6 0 0 0-.7-.6" />
      <path d="M12 18h.01M4 4l16 16" />
    </g>
  ),
  silent: (
    <g {...stroke}>
      <path d="M9.5 13.5V6a2.5 2.5 0 0 1 5 0v7.5a4.5 4.5 0 1 1-5 0z" />
      <path d="M4 4l16 16" />
    </g>
  ),
  stop: (
    <g {...stroke}>
      <path d="M8.2 3h7.6L21 8.2v7.6L15.8 21H8.2L3 15.8V8.2z" />
      <path d="M12 7.5v5.5M12 16.5h.01" />
    </g>
  ),
  check: <path {...stroke} stroke-width={3} d="m5 13 4.5 4.5L19 7" />,
  close: <path {...stroke} d="M6 6l12 12M18 6 6 18" />,
  note: (
    <g {...stroke}>
      <path d="M5 4h14v11l-5 5H5z" />
      <path d="M9 9h6M9 13h3" />
    </g>
  ),
  question: (
    <g {...stroke}>
      <circle cx="12" cy="12" r="9" />
      <path d="M9.3 9.3a2.8 2.8 0 1 1 4 2.6c-.9.4-1.3 1-1.3 1.9M12 17h.01" />
    </g>
  ),
  warning: (
    <g {...stroke}>
      <path d="M12 3.5 21.5 20h-19z" />
      <path d="M12 9.5v5M12 17.2h.01" />
    </g>
  ),
  findings: (
    <g {...stroke}>
      <path d="M6 21V4M6 5h11l-2.5 4L17 13H6" />
    </g>
  ),
  rain: (
    <g {...stroke}>
      <path d="M7 14a4 4 0 0 1 .4-8A5 5 0 0 1 17 7.5a3.3 3.3 0 0 1 .3 6.5z" />
      <path d="M8 17.5 7 20.5M12.5 17.5l-1 3M17 17.5l-1 3" />
    </g>
  ),
  heater: (
    <g {...stroke}>
      <path d="M4 20h16M5 11h14v6H5z" />
      <path d="M8 8c-1.5-1.5 1.5-2.5 0-4.5M12 8c-1.5-1.5 1.5-2.5 0-4.5M16 8c-1.5-1.5 1.5-2.5 0-4.5" />
    </g>
  ),
  cover: (
    <g {...stroke}>
      <path d="M3 17c1-8 5-11 9-11s8 3 9 11z" />
      <path d="M2 20h20" />
    </g>
  ),
  wait: (
    <g {...stroke}>
      <path d="M7 3h10M7 21h10M8 3c0 5 8 6 8 9s-8 4-8 9M16 3c0 5-8 6-8 9s8 4 8 9" />
    </g>
  ),
  start: <path {...stroke} d="M8 5v14l11-7z" />,
  working: (
    <g {...stroke}>
      <circle cx="12" cy="12" r="9" />
      <path d="M12 12V3a9 9 0 0 1 0 18z" fill="currentColor" />
    </g>
  ),
  plus: <path {...stroke} d="M12 5v14M5 12h14" />,
} satisfies Record<string, ComponentChildren>;

export type IconName = keyof typeof drawings;

/** A small drawing beside a word; the word carries the meaning. */
export function Icon({ name }: { name: IconName }) {
  return (
    <svg class="icon" viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      {drawings[name]}
    </svg>
  );
}
