import { common } from './en/common.ts';
import { findings } from './en/findings.ts';
import { now } from './en/now.ts';
import { work } from './en/work.ts';

/** English. Times, temperatures and names come in ready to read. */
export const en = { ...common, now, work, findings };
