import type { Quarantine } from '../../api/shapes.ts';

type Item = Quarantine['items'][number];

export interface UnreadTopic {
  readonly topic: string;
  readonly newest: Item;
  /** Among the messages that are kept for show. */
  readonly count: number;
}

/** Topics that nobody reads yet, from messages set aside, newest first. Those under `cure/` have their meaning already. */
export function unreadTopics(items: readonly Item[]): UnreadTopic[] {
  const strange = items.filter(({ reason, topic }) => reason === 'wrong-topic' && !topic.startsWith('cure/'));
  return [...Map.groupBy(strange, ({ topic }) => topic)].flatMap(([topic, group]) =>
    group[0] === undefined ? [] : [{ topic, newest: group[0], count: group.length }],
  );
}
