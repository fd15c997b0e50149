import { mixing } from './en/mixing.ts';

/** The sentences about a mix and about dew. The first look needs them: whoever mixes has to see how long it can be worked. */
export const mixText = mixing;
