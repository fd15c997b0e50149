import { ahead } from './en/ahead.ts';

/** The sentences about bookings, warnings and heat. They are fetched with what shows them: the first look is small. */
export const aheadText = ahead;
