import { computed, effect, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import type { Schedule } from '../../../edge/cure/schedule.ts';
import type { Sequence } from '../../../edge/site/sequence.ts';
import { session } from '../../live/session.ts';
import { unit } from '../../look/settings.ts';
import { type IdDraft, idDraft } from '../../parts/IdField.tsx';
import { setupText } from '../../text/setupText.ts';
import { type Draft, draftOf } from './draft.ts';
import { signedInAs } from './known.ts';
import type { Unit } from './numbers.ts';
import type { Order } from './sequenceDraft.ts';

interface Common<T> {
  /** What is copied. */
  readonly from: T;
  /** It becomes the next version of the same name, and not one of its own. */
  readonly isNewVersion: boolean;
  readonly title: Signal<string>;
  readonly id: IdDraft;
  readonly reason: Signal<string>;
  /** Something would be lost if it was thrown away. */
  readonly isChanged: ReadonlySignal<boolean>;
}

export interface ScheduleEditing extends Common<Schedule> {
  readonly what: 'schedule';
  /** The figures stand as they were typed, in this unit, whatever is chosen meanwhile. */
  readonly typedIn: Unit;
  readonly draft: Signal<Draft>;
}

export interface SequenceEditing extends Common<Sequence> {
  readonly what: 'sequence';
  readonly order: Signal<Order>;
  readonly source: Signal<string>;
  readonly author: Signal<string>;
}

/** What is open in an editor. It stays as it is while other pages are looked at, until it is saved or thrown away. */
export const editing = signal<ScheduleEditing | SequenceEditing | null>(null);

// The next person at this browser begins with nothing.
effect(() => {
  if (session.value === 'none') editing.value = null;
});

// A page that is loaded anew forgets everything, so the browser asks first.
effect(() => {
  if (editing.value?.isChanged.value !== true) return;
  const hold = (leaving: BeforeUnloadEvent) => leaving.preventDefault();
  window.addEventListener('beforeunload', hold);
  return () => window.removeEventListener('beforeunload', hold);
});

function common<T extends Schedule | Sequence>(from: T, isNewVersion: boolean, own: () => unknown): Common<T> {
  const { ownTitle } = setupText.schedules.editor;
  const title = signal(isNewVersion ? from.title : ownTitle(from.title));
  const [id, reason] = [idDraft(), signal('')];
  const content = computed(() => JSON.stringify([title.value, id.written.value, reason.value, own()]));
  const first = content.peek();
  return { from, isNewVersion, title, id, reason, isChanged: computed(() => content.value !== first) };
}

export function editSchedule(from: Schedule, isNewVersion: boolean): void {
  const typedIn = unit.peek();
  const draft = signal<Draft>({ ...draftOf(from, typedIn), author: signedInAs() });
  editing.value = { ...common(from, isNewVersion, () => draft.value), what: 'schedule', typedIn, draft };
}

export function editSequence(from: Sequence, isNewVersion: boolean): void {
  const order = signal<Order>({ parts: from.parts, activities: from.activities });
  const [source, author] = [signal(from.source), signal(signedInAs())];
  const own = () => [order.value, source.value, author.value];
  editing.value = { ...common(from, isNewVersion, own), what: 'sequence', order, source, author };
}
