import type { Quarantine } from '../../api/shapes.ts';

type Item = Quarantine['items'][number];

export interface UnreadTopic {
  readonly topic: string;
  readonly newest: Item;
  /** Among the messages that are kept for show. */
  readonly count: number;
}

/**
 * Topics that nobody reads yet, from messages set aside, newest first. Those under `cure/` have their meaning already, and what was
 * set aside before a topic was `mapped` stays set aside.
 */
export function unreadTopics(items: readonly Item[], mapped: ReadonlySet<string>): UnreadTopic[] {
  const strange = items.filter(
    ({ reason, topic }) => reason === 'wrong-topic' && !topic.startsWith('cure/') && !mapped.has(topic),
  );
  return [...Map.groupBy(strange, ({ topic }) => topic)].flatMap(([topic, group]) =>
    group[0] === undefined ? [] : [{ topic, newest: group[0], count: group.length }],
  );
}
