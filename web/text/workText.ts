import { evidence } from './en/evidence.ts';
import { heat } from './en/heat.ts';
import { making } from './en/making.ts';
import { waterTest } from './en/waterTest.ts';

/** The sentences of the sheets and pages where work is put on record. They are fetched with those: the first look is small. */
export const workText = { ...making, heat, waterTest, evidence };
