import { Entry } from '../../site/entries.ts';
import type { Bag } from '../bagit.ts';
import { isDerivedFile, rateTableFile, scheduleFile } from '../bundle.ts';
import { canonicalJson, rateTableSha256 } from '../canonical.ts';
import { textOfUtf8 } from '../utf8.ts';
import type { Enclosed } from './canonical.ts';
import { failed, type Looked, passed } from './looked.ts';

const CONSEQUENCE = 'The cure rules that people open are not those that were signed. The warm hours cannot be judged by them.';

/** The files of schedules and rate tables are those on record, and a table has the hash that the record names. */
export function lookAtDerivedSchedules({ payload }: Bag, { entries }: Enclosed): Looked<true> {
  const expected = new Map<string, string>();
  for (const { where, entry } of entries) {
    if (entry.kind !== 'schedule.recorded') continue;
    const read = Entry.safeParse(entry);
    if (!read.success || read.data.kind !== 'schedule.recorded')
      return failed(`${where} is no schedule as this program knows them.`, CONSEQUENCE);
    const { definition, table, rateTableSha256: sha256, mixTable, mixTableSha256 } = read.data;
    expected.set(scheduleFile(definition.name, definition.version), canonicalJson(definition));
    for (const [one, named] of [
      [table, sha256],
      [mixTable, mixTableSha256],
    ] as const) {
      if (one === undefined) continue;
      if (rateTableSha256(one) !== named)
        return failed(`${where}: the rate table does not have the SHA-256 ${named} that is named beside it.`, CONSEQUENCE);
      expected.set(rateTableFile(named), canonicalJson(one));
    }
  }
  for (const [name, text] of expected) {
    const own = payload.get(name);
    if (own === undefined) return failed(`${name} is missing.`, CONSEQUENCE);
    if (textOfUtf8(own) !== text) return failed(`${name} is not what was put on record.`, CONSEQUENCE);
  }
  for (const name of payload.keys())
    if (isDerivedFile(name) && !expected.has(name)) return failed(`${name} is in no entry.`, CONSEQUENCE);
  return passed(true, `${expected.size} files of schedules and rate tables, as they were put on record.`);
}
