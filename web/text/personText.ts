import { person } from './en/person.ts';

/** The sentences about people and their browsers. They are fetched with the pages that say them: the first look is small. */
export const personText = person;
