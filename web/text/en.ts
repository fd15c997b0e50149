import { common } from './en/common.ts';
import { joint } from './en/joint.ts';
import { now } from './en/now.ts';
import { setup } from './en/setup.ts';

/** English. Times, temperatures and names come in ready to read. */
export const en = { ...common, now, joint, setup };
