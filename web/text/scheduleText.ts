import { scheduleNote } from './en/scheduleNote.ts';

/** How a schedule is told. It is fetched when somebody asks: the first look is small. */
export const scheduleText = scheduleNote;
