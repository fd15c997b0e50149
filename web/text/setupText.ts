import { schedules } from './en/schedules.ts';
import { setup } from './en/setup.ts';

/** The sentences of the pages where things are set up. They are fetched with those pages: few open them, and the first look is small. */
export const setupText = { setup, schedules };
