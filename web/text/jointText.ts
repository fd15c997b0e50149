import { chartAhead } from './en/chartAhead.ts';
import { joint } from './en/joint.ts';
import { whatIf } from './en/whatIf.ts';

/** The sentences of a joint's own page and its sheets. They are fetched with those: the first look is small. */
export const jointText = { ...joint, whatIf, ahead: chartAhead };
