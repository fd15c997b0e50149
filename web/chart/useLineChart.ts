import { type Signal, useSignal } from '@preact/signals';
import { Chart, type ChartConfiguration } from 'chart.js';
import type { RefObject } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { hourCycle, theme, unit } from '../look/settings.ts';
import { type ChartLook, lookOf } from './look.ts';

type Drawing<Dot> = Pick<ChartConfiguration<'line', Dot[]>, 'data' | 'options'>;

interface Drawn {
  /** Where it is drawn. */
  readonly canvas: RefObject<HTMLCanvasElement>;
  /** The colours it is drawn in; null before the first drawing. */
  readonly look: Signal<ChartLook | null>;
}

/**
 * Draws lines on a canvas, and again whenever one of `shown`, a choice of the person's (unit, clock, theme) or the colours of the
 * device change. The caller registers the parts of Chart.js that its drawing takes.
 */
export function useLineChart<Dot>(drawingOf: (look: ChartLook) => Drawing<Dot>, shown: readonly unknown[]): Drawn {
  const canvas = useRef<HTMLCanvasElement>(null);
  const chart = useRef<Chart<'line', Dot[]> | null>(null);
  const look = useSignal<ChartLook | null>(null);
  const dark = useSignal(matchMedia('(prefers-color-scheme: dark)').matches);

  useEffect(() => {
    const query = matchMedia('(prefers-color-scheme: dark)');
    const follow = () => {
      dark.value = query.matches;
    };
    query.addEventListener('change', follow);
    return () => query.removeEventListener('change', follow);
  }, []);

  // The choices are read by the functions called here.
  useEffect(() => {
    if (canvas.current === null) return;
    look.value = lookOf(canvas.current);
    const { data, options = {} } = drawingOf(look.value);
    if (chart.current === null) chart.current = new Chart<'line', Dot[]>(canvas.current, { type: 'line', data, options });
    else {
      chart.current.data = data;
      chart.current.options = options;
      chart.current.update('none');
    }
  }, [...shown, unit.value, hourCycle.value, theme.value, dark.value]);

  useEffect(
    () => () => {
      chart.current?.destroy();
      chart.current = null;
    },
    [],
  );
  return { canvas, look };
}
