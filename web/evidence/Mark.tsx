export type Standing = 'waiting' | 'going' | 'right' | 'open' | 'wrong' | 'skipped';

const stroke = { fill: 'none', stroke: 'currentColor', 'stroke-width': 2.25, 'stroke-linecap': 'round' } as const;

const shapes = {
  waiting: <circle cx="12" cy="12" r="9" {...stroke} stroke-width={1.5} />,
  going: (
    <g {...stroke}>
      <circle cx="12" cy="12" r="9" stroke-width={1.5} />
      <path d="M12 3a9 9 0 0 1 9 9" stroke-width={4} />
    </g>
  ),
  right: (
    <>
      <circle cx="12" cy="12" r="10.5" fill="currentColor" />
      <path d="m7 12.5 3.5 3.5L17 8.5" {...stroke} class="mark-ink" stroke-width={2.75} />
    </>
  ),
  open: (
    <>
      <circle cx="12" cy="12" r="9.5" {...stroke} />
      <path d="M12 2.5a9.5 9.5 0 0 1 0 19z" fill="currentColor" />
    </>
  ),
  wrong: (
    <>
      <path d="M7.7 1.5h8.6l6.2 6.2v8.6l-6.2 6.2H7.7l-6.2-6.2V7.7z" fill="currentColor" />
      <path d="m8 8 8 8M16 8l-8 8" {...stroke} class="mark-ink" stroke-width={2.75} />
    </>
  ),
  skipped: (
    <g {...stroke}>
      <circle cx="12" cy="12" r="9" stroke-dasharray="3 3.3" stroke-width={1.75} />
      <path d="M8 12h8" />
    </g>
  ),
};

/** How something stands, by its shape; a word beside it says the same. */
export function Mark({ as }: { as: Standing }) {
  return (
    <svg class={`mark is-${as}`} viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      {shapes[as]}
    </svg>
  );
}
