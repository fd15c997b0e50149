import { useId } from 'preact/hooks';
import type { History } from '../api/shapes.ts';
import { jointText } from '../text/jointText.ts';
import { nameOf } from './config.ts';
import { AHEAD_DASH, AIR_DASH, type ChartLook, strokeOf } from './look.ts';

/** The key to the drawing: strokes by colour and dash, spans by pattern. */
export function ChartKey({ history, look, hasAhead }: { history: History; look: ChartLook; hasAhead: boolean }) {
  let material = 0;
  const reasons = new Set(history.uncredited.map((span) => span.reason));
  return (
    <ul class="chart-key" aria-label={jointText.key}>
      {history.series.map((series) => {
        const { colour, dash } = series.role === 'material' ? strokeOf(look, material++) : { colour: look.air, dash: AIR_DASH };
        return (
          <li key={`${series.role} ${series.probe}`}>
            <Stroke colour={colour} dash={dash} width={2} />
            {nameOf(series)}
          </li>
        );
      })}
      <li>
        <Stroke colour={look.warm} dash={[]} width={4} />
        {jointText.warmLine}
      </li>
      {hasAhead && <AheadKey look={look} />}
      {reasons.has('cold') && (
        <li>
          <Patch kind="cold" colour={look.cold} />
          {jointText.spanCold}
        </li>
      )}
      {reasons.has('unproven') && (
        <li>
          <Patch kind="unproven" colour={look.soft} />
          {jointText.spanUnproven}
        </li>
      )}
    </ul>
  );
}

/** The likely course and the band about it, for each of the two curves. */
function AheadKey({ look }: { look: ChartLook }) {
  const words = jointText.ahead;
  return (
    <>
      <li>
        <Stroke colour={look.ahead} dash={AHEAD_DASH} width={2.5} band={look.aheadFill} />
        {words.bandTemperature}
      </li>
      <li>
        <Stroke colour={look.warm} dash={AHEAD_DASH} width={3.5} band={look.warmFill} />
        {words.bandWarm}
      </li>
    </>
  );
}

interface StrokeProps {
  colour: string;
  dash: readonly number[];
  width: number;
  /** What lies about it. */
  band?: string;
}

function Stroke({ colour, dash, width, band }: StrokeProps) {
  return (
    <svg class="swatch" viewBox="0 0 36 16" aria-hidden="true">
      {band !== undefined && <rect width="36" height="16" fill={band} />}
      <path d="M0 8h36" stroke={colour} stroke-width={width} stroke-dasharray={dash.join(' ') || 'none'} />
    </svg>
  );
}

function Patch({ kind, colour }: { kind: 'cold' | 'unproven'; colour: string }) {
  const id = useId();
  return (
    <svg class="swatch" viewBox="0 0 36 16" aria-hidden="true">
      <pattern id={id} width="8" height="8" patternUnits="userSpaceOnUse">
        {kind === 'cold' ? (
          <g fill={colour}>
            <circle cx="2" cy="2" r="1.1" />
            <circle cx="6" cy="6" r="1.1" />
          </g>
        ) : (
          <path d="M-1 9 9-1M-5 5 5-5M3 13 13 3" stroke={colour} />
        )}
      </pattern>
      <rect x=".5" y=".5" width="35" height="15" fill={`url(#${id})`} stroke={colour} />
    </svg>
  );
}
